// SPDX-License-Identifier: Apache-2.0

// The program is seized before its exec; from the exec on, each of its threads stops at the entry
// and at the exit of every system call. A call is made to fail by giving it a number that does not
// exist at the entry, and the errno as its result at the exit.
#include "tracer.hpp"

#include <sys/ptrace.h>
#include <sys/types.h>
#include <sys/user.h>
#include <sys/wait.h>
#include <unistd.h>

#include <algorithm>
#include <cerrno>
#include <csignal>
#include <cstddef>
#include <map>
#include <system_error>

namespace fuelring::faults {

namespace {

constexpr int exit_no_exec = 127;
constexpr int exit_by_signal = 128;
constexpr int syscall_stop = SIGTRAP | 0x80;
constexpr long options = PTRACE_O_TRACESYSGOOD | PTRACE_O_TRACECLONE | PTRACE_O_TRACEFORK |
                         PTRACE_O_TRACEVFORK | PTRACE_O_TRACEEXEC | PTRACE_O_EXITKILL;

struct Kind {
    std::string_view name;
    Fault fault;
};

constexpr Kind kinds[] = {
    {"count", {}},
    {"kill", {.signal = SIGKILL}},
    {"term", {.signal = SIGTERM}},
    {"int", {.signal = SIGINT}},
    {"eio", {.error_number = EIO}},
    {"eio-on", {.error_number = EIO, .for_ever = true}},
    {"enospc", {.error_number = ENOSPC}},
    {"enospc-on", {.error_number = ENOSPC, .for_ever = true}},
    {"erofs-on", {.error_number = EROFS, .for_ever = true}},
    {"einval", {.error_number = EINVAL}},
    {"lost-syncs", {.error_number = 0, .for_ever = true, .syncs_only = true}},
};

[[noreturn]] void throw_errno(const char* what)
{
    throw std::system_error{errno, std::generic_category(), what};
}

bool is_sync(const MutatingCall& call)
{
    return call.name == "fsync" || call.name == "fdatasync";
}

/// The program waits for one byte before its exec, so that nothing of it runs unseen.
pid_t start(const std::vector<std::string>& command, int& go)
{
    std::vector<char*> arguments;
    for (const std::string& word : command)
        arguments.push_back(const_cast<char*>(word.c_str())); // execvp does not write to them
    arguments.push_back(nullptr);
    int ends[2];
    if (::pipe(ends) != 0)
        throw_errno("pipe");
    const pid_t child = ::fork();
    if (child < 0)
        throw_errno("fork");
    if (child == 0) {
        char byte = 0;
        ::close(ends[1]);
        if (::read(ends[0], &byte, 1) == 1) {
            ::close(ends[0]);
            ::execvp(arguments[0], arguments.data());
        }
        ::_exit(exit_no_exec);
    }
    ::close(ends[0]);
    go = ends[1];
    return child;
}

class Tracer {
public:
    Tracer(pid_t program, const Fault& fault) : program_{program}, fault_{fault} {}

    Outcome run()
    {
        int status = 0;
        for (pid_t tid = 0; (tid = ::waitpid(-1, &status, __WALL)) > 0;) {
            if (WIFSTOPPED(status))
                stopped(tid, status);
            else if (tid == program_)
                outcome_.exit_code =
                    WIFEXITED(status) ? WEXITSTATUS(status) : exit_by_signal + WTERMSIG(status);
        }
        return outcome_;
    }

private:
    void stopped(pid_t tid, int status)
    {
        int deliver = 0;
        if (WSTOPSIG(status) == syscall_stop)
            at_syscall(tid);
        else if (status >> 16 == 0) // no event of ptrace: a signal on its way to the program
            deliver = WSTOPSIG(status);
        ::ptrace(PTRACE_SYSCALL, tid, nullptr, deliver); // fails only for one that was killed
    }

    void at_syscall(pid_t tid)
    {
        struct __ptrace_syscall_info info {};
        if (::ptrace(PTRACE_GET_SYSCALL_INFO, tid, sizeof info, &info) <= 0)
            return;
        if (info.op == PTRACE_SYSCALL_INFO_ENTRY)
            at_entry(tid, info);
        else if (failing_.erase(tid) != 0)
            set_result(tid);
    }

    void at_entry(pid_t tid, const struct __ptrace_syscall_info& info)
    {
        std::array<std::uint64_t, 6> args{};
        std::copy(std::begin(info.entry.args), std::end(info.entry.args), args.begin());
        auto call = mutating_call(tid, info.entry.nr, args);
        if (!call)
            return;
        ++outcome_.calls;
        const bool now = outcome_.calls == fault_.at ||
                         (fault_.for_ever && fault_.at > 0 && outcome_.calls > fault_.at);
        if (!now || (fault_.syncs_only && !is_sync(*call)))
            return;
        if (++outcome_.fired == 1)
            outcome_.first = std::move(*call);
        if (fault_.signal != 0)
            ::kill(program_, fault_.signal);
        else
            skip_call(tid);
    }

#ifdef __x86_64__
    void skip_call(pid_t tid)
    {
        ::ptrace(PTRACE_POKEUSER, tid, offsetof(struct user_regs_struct, orig_rax), -1L);
        failing_[tid] = true;
    }

    void set_result(pid_t tid) const
    {
        ::ptrace(PTRACE_POKEUSER, tid, offsetof(struct user_regs_struct, rax),
                 -static_cast<long>(fault_.error_number));
    }
#else
    void skip_call(pid_t) {}
    void set_result(pid_t) const {}
#endif

    pid_t program_;
    Fault fault_;
    Outcome outcome_;
    std::map<pid_t, bool> failing_; ///< threads inside a call that is to fail
};

} // namespace

Fault fault_of(std::string_view kind, int at)
{
    std::string names;
    for (const Kind& known : kinds) {
        if (known.name == kind) {
            Fault fault = known.fault;
            fault.at = kind == "count" ? 0 : at;
            return fault;
        }
        names.append(" ").append(known.name);
    }
    throw std::invalid_argument{"no such fault; there are:" + names};
}

Outcome run_with_fault(const std::vector<std::string>& command, const Fault& fault)
{
#ifndef __x86_64__
    throw CannotTrace{"faults are put into system calls on x86_64 only"};
#endif
    int go = -1;
    const pid_t program = start(command, go);
    if (::ptrace(PTRACE_SEIZE, program, nullptr, options) != 0) {
        const std::string reason = std::generic_category().message(errno);
        ::close(go); // the program ends without its byte
        ::waitpid(program, nullptr, 0);
        throw CannotTrace{"ptrace is not permitted here: " + reason};
    }
    const bool told = ::write(go, "g", 1) == 1;
    ::close(go);
    if (!told)
        throw_errno("write to the program's pipe");
    return Tracer{program, fault}.run();
}

} // namespace fuelring::faults
