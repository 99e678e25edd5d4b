// SPDX-License-Identifier: Apache-2.0
#include "support/run_on_terminal.hpp"

#include "support/temp_folder.hpp"

#include <pty.h>
#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <cstdio>
#include <system_error>

namespace fuelring::test {

namespace {

std::string text_if_there(const std::filesystem::path& file)
{
    return std::filesystem::exists(file) ? text_of(file) : std::string{};
}

} // namespace

std::vector<int> TerminalRun::percents() const
{
    std::vector<int> all;
    for (const std::string& line : lines)
        if (int percent = 0; std::sscanf(line.c_str(), "fuelring: %d%%", &percent) == 1 &&
                             line.find("%, ") < std::string_view{"fuelring: 100%"}.size())
            all.push_back(percent);
    return all;
}

bool TerminalRun::said(std::string_view words) const
{
    return std::any_of(lines.begin(), lines.end(), [&](const std::string& line) {
        return line.find(words) != std::string::npos;
    });
}

TerminalRun run_on_terminal(std::vector<std::string> words, const std::filesystem::path& manifest,
                            rlim_t most_bytes)
{
    words.insert(words.begin(), FUELRING_PROGRAM);
    std::vector<char*> argv;
    for (std::string& word : words)
        argv.push_back(word.data());
    argv.push_back(nullptr);
    winsize size = {};
    size.ws_row = 24;
    size.ws_col = 100;
    const std::string before = text_if_there(manifest);
    int terminal = -1;
    const pid_t child = ::forkpty(&terminal, nullptr, nullptr, &size);
    if (child < 0)
        throw std::system_error{errno, std::generic_category(), "no terminal can be made"};
    if (child == 0) {
        const rlimit limit = {most_bytes, most_bytes};
        ::setrlimit(RLIMIT_FSIZE, &limit);
        ::execv(argv[0], argv.data());
        ::_exit(127);
    }
    TerminalRun run;
    std::string line;
    char c = 0;
    while (::read(terminal, &c, 1) == 1) { // fails when the program has ended
        if (c != '\r' && c != '\n') {
            line += c;
            if (line.ends_with("fuelring: 100%"))
                run.in_place = text_if_there(manifest) != before;
            continue;
        }
        if (line.starts_with("\033[K"))
            line.erase(0, 3);
        if (!line.empty())
            run.lines.push_back(line);
        line.clear();
    }
    ::close(terminal);
    int status = 0;
    ::waitpid(child, &status, 0);
    run.exit_code = WIFEXITED(status) ? WEXITSTATUS(status) : 1000 + WTERMSIG(status);
    return run;
}

} // namespace fuelring::test
