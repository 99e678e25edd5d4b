// SPDX-License-Identifier: Apache-2.0
#include "support/run_program.hpp"

#include "support/documents.hpp"

#include <spawn.h>
#include <sys/wait.h>
#include <unistd.h>

#include <cerrno>
#include <csignal>
#include <sstream>
#include <stdexcept>
#include <system_error>
#include <thread>

namespace fuelring::test {

namespace {

/// Redirections of a child to be.
class Redirections {
public:
    Redirections() { ::posix_spawn_file_actions_init(&actions_); }
    ~Redirections() { ::posix_spawn_file_actions_destroy(&actions_); }
    Redirections(const Redirections&) = delete;
    Redirections& operator=(const Redirections&) = delete;

    void put(int stream, std::FILE* file)
    {
        ::posix_spawn_file_actions_adddup2(&actions_, ::fileno(file), stream);
    }
    const posix_spawn_file_actions_t* get() const { return &actions_; }

private:
    posix_spawn_file_actions_t actions_;
};

std::string all_of(std::FILE* file)
{
    std::rewind(file);
    std::string text;
    for (int c = 0; (c = std::fgetc(file)) != EOF;)
        text += static_cast<char>(c);
    return text;
}

} // namespace

std::vector<std::string> ProgramResult::errors() const
{
    std::vector<std::string> found;
    std::istringstream lines{err};
    for (std::string line; std::getline(lines, line);)
        if (line.starts_with("fuelring: error: "))
            found.push_back(line);
    return found;
}

RunningProgram::RunningProgram(const std::vector<std::string>& arguments,
                               const std::vector<std::string>& launcher)
    : out_{std::tmpfile()}, err_{std::tmpfile()}
{
    if (!out_ || !err_)
        throw std::system_error{errno, std::generic_category(), "no temporary file can be made"};
    std::vector<std::string> words = launcher;
    words.emplace_back(FUELRING_PROGRAM);
    words.insert(words.end(), arguments.begin(), arguments.end());
    std::vector<char*> argv;
    for (std::string& word : words)
        argv.push_back(word.data());
    argv.push_back(nullptr);
    Redirections redirections;
    redirections.put(STDOUT_FILENO, out_.get());
    redirections.put(STDERR_FILENO, err_.get());
    const int failed =
        ::posix_spawnp(&pid_, argv[0], redirections.get(), nullptr, argv.data(), environ);
    if (failed != 0)
        throw std::system_error{failed, std::generic_category(), words.front()};
}

RunningProgram::~RunningProgram()
{
    if (pid_ > 0) {
        ::kill(pid_, SIGKILL);
        ::waitpid(pid_, nullptr, 0);
    }
}

void RunningProgram::send(int signal) const
{
    ::kill(pid_, signal);
}

bool RunningProgram::has_ended() const
{
    siginfo_t info = {};
    return ::waitid(P_PID, static_cast<id_t>(pid_), &info, WEXITED | WNOHANG | WNOWAIT) == 0 &&
           info.si_pid == pid_;
}

ProgramResult RunningProgram::wait(std::chrono::seconds limit)
{
    const auto latest = std::chrono::steady_clock::now() + limit;
    while (!has_ended() && std::chrono::steady_clock::now() < latest)
        std::this_thread::sleep_for(std::chrono::milliseconds{2});
    if (!has_ended())
        ::kill(pid_, SIGKILL);
    int status = 0;
    if (::waitpid(pid_, &status, 0) != pid_)
        throw std::system_error{errno, std::generic_category(), "waitpid"};
    pid_ = -1;
    const std::chrono::duration<double> took = std::chrono::steady_clock::now() - start_;
    ProgramResult result{WIFEXITED(status) ? WEXITSTATUS(status) : 1000 + WTERMSIG(status),
                         all_of(out_.get()), all_of(err_.get()), took.count()};
    keep_documents(result);
    return result;
}

ProgramResult run_fuelring(const std::vector<std::string>& arguments,
                           const std::vector<std::string>& launcher)
{
    return RunningProgram{arguments, launcher}.wait();
}

} // namespace fuelring::test
