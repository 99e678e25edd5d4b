// SPDX-License-Identifier: Apache-2.0

// A child reads one variant after the other and writes a letter for each into a pipe. The parent
// counts letters: where the next one is late, or the pipe ends too soon, the variant whose turn it
// is hung or crashed; a new child goes on behind it.
#include "damage/judged_reading.hpp"

#include <fuelring/error.hpp>

#include <doctest/doctest.h>
#include <fcntl.h>
#include <fmt/format.h>
#include <poll.h>
#include <signal.h>
#include <sys/resource.h>
#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <cstdio>
#include <exception>
#include <filesystem>
#include <new>
#include <optional>

namespace fuelring::test {

namespace {

std::string word(Ending ending)
{
    switch (ending) {
    case Ending::internal:
        return "internal error";
    case Ending::memory:
        return "memory";
    case Ending::hang:
        return "hang";
    default:
        return "crash";
    }
}

bool is_fine(Ending ending)
{
    return ending == Ending::refused || ending == Ending::same || ending == Ending::other;
}

void put(const std::string& path, const std::string& bytes)
{
    const int file = open(path.c_str(), O_WRONLY | O_CREAT | O_TRUNC | O_CLOEXEC, 0600);
    const bool written = write(file, bytes.data(), bytes.size()) == std::ssize(bytes);
    close(file);
    if (!written)
        _exit(9);
}

/// Which file of the format a variant damages.
const std::pair<const std::string, std::string>& file_of(const Format& format, std::uint64_t number)
{
    std::uint64_t at = number % format.files.size();
    const auto file = [&] {
        return std::next(format.files.begin(), static_cast<std::ptrdiff_t>(at));
    };
    if (file()->first == format.spared)
        at = (at + 1) % format.files.size();
    return *file();
}

class Reader {
public:
    Reader(const Format& format, const std::string& folder, const Limits& limits)
        : format_{format}, folder_{folder}, limits_{limits}
    {
        restore();
        for (const auto& [name, bytes] : format.files)
            put(folder_ + "/" + name, bytes);
        pristine_ = format.read(folder_);
    }

    Ending read(std::uint64_t number)
    {
        const auto& [name, bytes] = file_of(format_, number);
        put(folder_ + "/" + name, damaged(bytes, number).bytes);
        const Ending ending = judged();
        restore();
        put(folder_ + "/" + name, bytes);
        rusage usage = {};
        getrusage(RUSAGE_SELF, &usage);
        return usage.ru_maxrss / 1000 > limits_.megabytes ? Ending::memory : ending;
    }

private:
    Ending judged()
    {
        try {
            if (format_.after_damage)
                format_.after_damage(folder_);
            return format_.read(folder_) == pristine_ ? Ending::same : Ending::other;
        } catch (const Error&) {
            return Ending::refused;
        } catch (const std::bad_alloc&) {
            return Ending::memory;
        } catch (const std::exception& e) {
            std::fprintf(stderr, "%s\n", e.what());
            return Ending::internal;
        }
    }

    /// What a library laid beside the files must not tell the next variant anything.
    void restore()
    {
        for (const auto& entry : std::filesystem::directory_iterator{folder_})
            if (format_.files.count(entry.path().filename().string()) == 0)
                std::filesystem::remove_all(entry.path());
        if (format_.after_damage)
            for (const auto& [name, bytes] : format_.files)
                put(folder_ + "/" + name, bytes);
    }

    const Format& format_;
    std::string folder_;
    Limits limits_;
    std::string pristine_;
};

/// A child that reads from `first` on.
class Child {
public:
    Child(const Format& format, const std::string& folder, std::uint64_t first, std::uint64_t last,
          const Limits& limits)
    {
        int ends[2];
        REQUIRE(pipe2(ends, O_CLOEXEC) == 0);
        from_ = ends[0];
        process_ = fork();
        REQUIRE(process_ >= 0);
        if (process_ == 0)
            work(ends[1], format, folder, first, last, limits);
        close(ends[1]);
    }
    ~Child()
    {
        kill(process_, SIGKILL);
        waitpid(process_, nullptr, 0);
        close(from_);
    }
    Child(const Child&) = delete;
    Child& operator=(const Child&) = delete;

    Ending next(int seconds)
    {
        pollfd ready = {from_, POLLIN, 0};
        if (poll(&ready, 1, seconds * 1000) == 0)
            return Ending::hang;
        char letter = 0;
        return ::read(from_, &letter, 1) == 1 ? Ending{letter} : Ending::crash;
    }

private:
    [[noreturn]] static void work(int to, const Format& format, const std::string& folder,
                                  std::uint64_t first, std::uint64_t last, const Limits& limits)
    {
        for (const int number : {SIGSEGV, SIGABRT, SIGFPE, SIGILL, SIGBUS, SIGTERM, SIGINT})
            signal(number, SIG_DFL); // not the test's own
        try {
            Reader reader{format, folder, limits};
            for (std::uint64_t k = first; k < last; ++k) {
                const Ending ending = reader.read(k);
                if (write(to, &ending, 1) != 1 || ending == Ending::memory)
                    break; // the peak stays: a new child
            }
        } catch (const std::exception& e) {
            std::fprintf(stderr, "%s: the pristine files are refused: %s\n", format.name.c_str(),
                         e.what());
        }
        _exit(0);
    }

    int from_ = -1;
    pid_t process_ = -1;
};

} // namespace

std::int64_t Tally::count(Ending ending) const
{
    std::int64_t sum = 0;
    for (const auto& endings : by_damage)
        if (const auto found = endings.find(ending); found != endings.end())
            sum += found->second;
    return sum;
}

std::int64_t Tally::count(Damage damage, Ending ending) const
{
    const auto& endings = by_damage.at(static_cast<std::size_t>(damage));
    const auto found = endings.find(ending);
    return found == endings.end() ? 0 : found->second;
}

Tally read_variants(const Format& format, const std::string& folder, std::uint64_t first,
                    std::uint64_t last, const Limits& limits)
{
    Tally tally;
    std::optional<Child> child;
    for (std::uint64_t k = first; k < last; ++k) {
        if (!child)
            child.emplace(format, folder, k, last, limits);
        const Ending ending = child->next(limits.seconds);
        const Damage damage = damaged(file_of(format, k).second, k).damage;
        ++tally.by_damage.at(static_cast<std::size_t>(damage))[ending];
        if (is_fine(ending))
            continue;
        tally.faults.push_back(fmt::format("variant {} of {} ({} in {}): {}", k, format.name,
                                           damage_names.at(static_cast<std::size_t>(damage)),
                                           file_of(format, k).first, word(ending)));
        if (ending != Ending::internal)
            child.reset();
    }
    return tally;
}

} // namespace fuelring::test
