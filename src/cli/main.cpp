// SPDX-License-Identifier: Apache-2.0
#include "base/program/log.hpp"
#include "base/program/signals.hpp"
#include "cli/command_line.hpp"
#include "io/gdal/server_wait.hpp"
#include "io/gdal/setup.hpp"

#include <fuelring/error.hpp>

#include <cstdio>

int main(int argc, char** argv)
{
    using namespace fuelring;
    try {
        const bool structured = cli::wants_structured(argc, argv);
        const SignalWatch signals{structured};
        set_up_gdal();
        ServerWait::end_by(
            [structured](const Error& e) { Log{{.structured = structured}}.error(e.message()); });
        return cli::run_command_line(argc, argv);
    } catch (...) { // even saying what failed has failed
        std::fputs("fuelring: error: out of memory\n", stderr);
        return static_cast<int>(Failure::output);
    }
}
