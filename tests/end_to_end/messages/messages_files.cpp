// SPDX-License-Identifier: Apache-2.0

// Exit codes 2 and 3: named pipes, sockets and devices where a file is read, or beside one. Nobody
// writes into the pipes: who opened one would wait for ever.
#include "end_to_end/messages.hpp"

#include <fmt/format.h>
#include <sys/socket.h>
#include <sys/stat.h>
#include <sys/un.h>
#include <unistd.h>

#include <cstring>

namespace fuelring::test {

namespace {

constexpr const char* no_file = "it is …, not a file that can be read";

void make_pipe(const fs::path& path)
{
    fs::remove(path);
    REQUIRE(::mkfifo(path.c_str(), 0600) == 0);
}

void make_socket(const fs::path& path)
{
    sockaddr_un address = {};
    address.sun_family = AF_UNIX;
    REQUIRE(path.string().size() < sizeof address.sun_path);
    std::strcpy(address.sun_path, path.c_str());
    const int fd = ::socket(AF_UNIX, SOCK_STREAM | SOCK_CLOEXEC, 0);
    REQUIRE(::bind(fd, reinterpret_cast<sockaddr*>(&address), sizeof address) == 0);
    ::close(fd); // its name stays
}

/// A pipe as the path of a table of the configuration.
Provocation pipe_as(const std::string& table, const std::string& column = {})
{
    return {no_file, {"piped.data", "a named pipe", table + ".path"}, [=](MappedHamlet& hamlet) {
                make_pipe(hamlet.folder() / "piped.data");
                hamlet.config(table, "path") = toml_text(hamlet.folder() / "piped.data");
                if (!column.empty())
                    hamlet.config(table, column) = toml_text(column);
            }};
}

/// A pipe beside a copy of the hamlet's raster.
Provocation beside_raster(const std::string& name)
{
    return {no_file, {name, "a named pipe", "inputs.fuel.path"}, [=](MappedHamlet& hamlet) {
                const fs::path raster = hamlet.folder() / "beside" / "town.tif";
                fs::remove_all(raster.parent_path());
                fs::create_directory(raster.parent_path());
                fs::copy_file(hamlet.folder() / "fuel.tif", raster);
                make_pipe(raster.parent_path() / name);
                hamlet.config("inputs.fuel", "path") = toml_text(raster);
            }};
}

/// A pipe in the place of a part of a shapefile.
Provocation part_of_shapefile(const std::string& extension)
{
    return {no_file, {"roofs" + extension, "a named pipe"}, [=](MappedHamlet& hamlet) {
                const fs::path shp = hamlet.folder() / "parted" / "roofs.shp";
                fs::remove_all(shp.parent_path());
                fs::create_directory(shp.parent_path());
                make_layer(shp, "ESRI Shapefile", "id", 32611,
                           {{"A", rectangle_wkt(600130, 5600150, 600140, 5600160)}});
                make_pipe(fs::path{shp}.replace_extension(extension));
                hamlet.config("inputs.structures", "path") = toml_text(shp);
                hamlet.config("inputs.structures", "id") = toml_text("id");
            }};
}

Provocation pipe_as_table(const char* message, const std::string& table, const std::string& key,
                          const std::string& before, const std::string& after)
{
    return {message, {"piped.csv", "it is a named pipe"}, [=](MappedHamlet& hamlet) {
                make_pipe(hamlet.folder() / "piped.csv");
                hamlet.config(table, key) =
                    before + toml_text(hamlet.folder() / "piped.csv") + after;
            }};
}

} // namespace

std::vector<Provocation> special_file_provocations()
{
    std::vector<Provocation> all{
        pipe_as("inputs.neighbourhoods", "name"),
        pipe_as("inputs.parcels", "owner"),
        {no_file,
         {"/dev/zero", "a device", "inputs.structures.path"},
         [](MappedHamlet& hamlet) { hamlet.config("inputs.structures", "path") = "'/dev/zero'"; }},
        {no_file,
         {"sock", "a socket", "inputs.fuel.path"},
         [](MappedHamlet& hamlet) {
             make_socket(hamlet.folder() / "sock");
             hamlet.config("inputs.fuel", "path") = toml_text(hamlet.folder() / "sock");
         }},
        {"no checksum as sha256sum writes it: …",
         {"signed.tif.sha256", "it is not a file"},
         [](MappedHamlet& hamlet) {
             const fs::path raster = hamlet.folder() / "signed.tif";
             fs::copy_file(hamlet.folder() / "fuel.tif", raster);
             make_pipe(raster.string() + ".sha256");
             hamlet.config("inputs.fuel", "path") = toml_text(raster);
         }},
        pipe_as_table("the fuel-class table cannot be read: …", "inputs.fuel", "classes", "", ""),
        pipe_as_table("the table of multipliers cannot be read: …", "inputs.structures",
                      "attributes", "[{column = 'structure_id', multipliers = ", "}]")};
    for (const char* input : {"fuel", "structures", "addresses", "elevation", "corrections"})
        all.push_back(pipe_as(fmt::format("inputs.{}", input)));
    for (const char* name : {"town.tif.msk", "town.tif.aux.xml", "town.tif.ovr", "TOWN.TFW"})
        all.push_back(beside_raster(name));
    for (const char* extension : {".dbf", ".shx", ".prj", ".cpg", ".qix"})
        all.push_back(part_of_shapefile(extension));
    return all;
}

} // namespace fuelring::test
