// SPDX-License-Identifier: Apache-2.0

// fault_at N KIND [--report FILE] -- COMMAND...
//
// Runs any command and lets a fault happen at its N-th system call that changes a file system,
// counted over all threads: a signal, or an error without the call being made. Its exit code is
// the command's (128 + signal where one ended it), 77 where tracing is not allowed, 125 for a
// wrong use. What happened goes to FILE, or to stderr, as one line:
//   calls=57 fired=1 exit=4 call=renameat2 target=/tmp/p/out
// A sweep raises N from 1 until fired=0: then every call has had its turn. KIND count only counts.
#include "tracer.hpp"

#include <charconv>
#include <fstream>
#include <iostream>
#include <string>
#include <vector>

namespace {

constexpr int exit_skipped = 77;
constexpr int exit_usage = 125;

struct Request {
    fuelring::faults::Fault fault{};
    std::string report{};
    std::vector<std::string> command{};
};

int number_of(const std::string& text)
{
    int number = 0;
    const auto [end, error] = std::from_chars(text.data(), text.data() + text.size(), number);
    if (error != std::errc{} || end != text.data() + text.size() || number < 0)
        throw std::invalid_argument{"N is a number from 1 (or 0 to count): " + text};
    return number;
}

Request request_of(const std::vector<std::string>& words)
{
    Request request;
    std::size_t at = 2;
    if (words.size() > 3 && words[2] == "--report") {
        request.report = words[3];
        at = 4;
    }
    if (words.size() < at + 2 || words[at] != "--")
        throw std::invalid_argument{"usage: fault_at N KIND [--report FILE] -- COMMAND..."};
    request.fault = fuelring::faults::fault_of(words[1], number_of(words[0]));
    request.command.assign(words.begin() + static_cast<std::ptrdiff_t>(at) + 1, words.end());
    return request;
}

void report(const fuelring::faults::Outcome& outcome, std::ostream& to)
{
    to << "calls=" << outcome.calls << " fired=" << outcome.fired << " exit=" << outcome.exit_code
       << " call=" << outcome.first.name << " target=" << outcome.first.target << std::endl;
}

} // namespace

int main(int count, char** words)
{
    try {
        const Request request = request_of({words + 1, words + count});
        const auto outcome = fuelring::faults::run_with_fault(request.command, request.fault);
        if (request.report.empty()) {
            report(outcome, std::cerr);
        } else {
            std::ofstream file{request.report};
            report(outcome, file);
        }
        return outcome.exit_code;
    } catch (const fuelring::faults::CannotTrace& error) {
        std::cerr << "fault_at: " << error.what() << '\n';
        return exit_skipped;
    } catch (const std::exception& error) {
        std::cerr << "fault_at: " << error.what() << '\n';
        return exit_usage;
    }
}
