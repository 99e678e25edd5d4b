// SPDX-License-Identifier: Apache-2.0
#include "program_sweep.hpp"

#include <atomic>
#include <chrono>
#include <mutex>
#include <sstream>
#include <thread>

namespace fuelring::faults {

namespace {

constexpr int second_kill_every = 7;
constexpr int second_kill_stride = 11;

using What = Found::What;

/// Why the folder is not what the exit code says; empty where it is.
std::string mismatch(const ProgramScene& scene, const Trial& trial, const Faulted& run,
                     const Found& found, SweepCounts& counts)
{
    if (found.what == What::broken)
        return "broken set: " + found.flaw;
    const What before = scene.run() == RunKind::first ? What::absent : What::old_set;
    if (found.what != before && found.what != What::new_set)
        return std::string{"the folder is "} + name_of(found.what);
    if (run.exit_code == exit_killed)
        return trial.kind == "kill" ? "" : "the program was killed";
    const bool old_will_do = scene.run() == RunKind::nothing_changed;
    if (run.exit_code == scene.done())
        return found.what == What::new_set || old_will_do ? "" : "done with the old set";
    if (run.exit_code == exit_terminated && trial.kind == "term")
        return found.what == before ? "" : "terminated with the new set";
    if (run.exit_code != exit_output)
        return "exit code " + std::to_string(run.exit_code);
    if (found.what == before)
        return {};
    ++counts.new_set_with_4; // the disk failed after the exchange, and failed the way back
    return trial.kind == "enospc-on" ? "" : "exit 4 with the new set";
}

/// The run after the fault must leave the new set and nothing else.
std::string flaw_of_repair(const ProgramScene& scene)
{
    if (const int code = run_plain(scene.next_command()); code != 0)
        return "the next run ended with " + std::to_string(code);
    const Found found = scene.found_later();
    const bool old_will_do = scene.run() == RunKind::nothing_changed;
    if (found.what != What::new_set && !(old_will_do && found.what == What::old_set))
        return std::string{"after the next run the folder is "} + name_of(found.what) + " " +
               found.flaw;
    std::string names;
    for (const std::string& name : scene.strays())
        names += " " + name;
    return names.empty() ? "" : "left over:" + names;
}

std::vector<Trial> trials_of(int calls, int first, int step)
{
    const std::vector<std::string>& kinds = fault_kinds();
    std::vector<Trial> trials;
    const auto add = [&](int at, const std::string& kind) {
        const auto n = static_cast<int>(trials.size());
        trials.push_back(
            {at, kind, n % second_kill_every == 0 ? 1 + n * second_kill_stride % calls : 0});
    };
    if (step == 1) {
        for (const std::string& kind : kinds)
            for (int at = first; at <= calls; ++at)
                add(at, kind);
        return trials;
    }
    std::size_t turn = static_cast<std::size_t>(first);
    for (int at = first; at <= calls; at += step)
        add(at, kinds[turn++ % kinds.size()]);
    return trials;
}

void add_to(SweepCounts& sum, const SweepCounts& part)
{
    sum.fired += part.fired;
    sum.second_kills += part.second_kills;
    sum.new_set_with_4 += part.new_set_with_4;
    sum.longest_end_s = std::max(sum.longest_end_s, part.longest_end_s);
    for (const auto& [code, count] : part.ended)
        sum.ended[code] += count;
    for (const auto& [kind, count] : part.of_kind)
        sum.of_kind[kind] += count;
    sum.wrong.insert(sum.wrong.end(), part.wrong.begin(), part.wrong.end());
}

} // namespace

const std::vector<std::string>& fault_kinds()
{
    static const std::vector<std::string> kinds{"kill", "term", "eio", "enospc", "enospc-on"};
    return kinds;
}

int calls_of(const ProgramScene& scene)
{
    scene.lay_out();
    return run_faulted(0, "count", scene.command()).calls;
}

void try_fault(const ProgramScene& scene, const Trial& trial, SweepCounts& counts,
               const std::vector<std::string>& command)
{
    scene.lay_out();
    const auto start = std::chrono::steady_clock::now();
    const Faulted run =
        run_faulted(trial.at, trial.kind, command.empty() ? scene.command() : command);
    const std::chrono::duration<double> took = std::chrono::steady_clock::now() - start;
    const auto note = [&](const std::string& flaw) {
        if (!flaw.empty())
            counts.wrong.push_back(std::string{name_of(scene.run())} + ", " + trial.kind +
                                   " at call " + std::to_string(trial.at) + " (" + run.where +
                                   "), exit " + std::to_string(run.exit_code) + ": " + flaw);
    };
    if (run.fired == 0)
        return note("the fault did not happen");
    ++counts.fired;
    ++counts.of_kind[trial.kind];
    ++counts.ended[run.exit_code];
    if (trial.kind == "term") // the whole run, hence at least what it took after the signal
        counts.longest_end_s = std::max(counts.longest_end_s, took.count());
    note(mismatch(scene, trial, run, scene.found(), counts));
    if (trial.second_kill > 0) {
        const Faulted second = run_faulted(trial.second_kill, "kill", scene.next_command());
        counts.second_kills += second.fired > 0 ? 1 : 0;
        const Found found = scene.found_later();
        if (found.what == What::broken ||
            (found.what == What::absent && scene.run() != RunKind::first))
            note("after a second kill at call " + std::to_string(trial.second_kill) + " (" +
                 second.where + ") the folder is " + name_of(found.what) + " " + found.flaw);
    }
    note(flaw_of_repair(scene));
}

SweepCounts sweep_program(RunKind run, int first, int step, int workers)
{
    SweepCounts sum;
    std::vector<Trial> trials;
    {
        const ProgramScene scene{run};
        sum.calls = calls_of(scene);
        trials = trials_of(sum.calls, first, step);
        if (workers == 1) {
            for (const Trial& trial : trials)
                try_fault(scene, trial, sum);
            return sum;
        }
    }
    std::atomic<std::size_t> next = 0;
    std::mutex guard;
    std::vector<std::thread> threads;
    for (int worker = 0; worker < workers; ++worker)
        threads.emplace_back([&] {
            const ProgramScene scene{run};
            SweepCounts counts;
            for (std::size_t k = next++; k < trials.size(); k = next++)
                try_fault(scene, trials[k], counts);
            const std::lock_guard lock{guard};
            add_to(sum, counts);
        });
    for (std::thread& thread : threads)
        thread.join();
    return sum;
}

std::string text_of(RunKind run, const SweepCounts& counts)
{
    std::ostringstream text;
    text << name_of(run) << ": " << counts.calls << " calls, " << counts.fired << " faults (";
    for (const auto& [kind, count] : counts.of_kind)
        text << kind << ' ' << count << ' ';
    text << "); exit codes ";
    for (const auto& [code, count] : counts.ended)
        text << code << ": " << count << "  ";
    text << "; second kills " << counts.second_kills << ", exit 4 with the new set "
         << counts.new_set_with_4 << ", longest run with SIGTERM " << counts.longest_end_s
         << " s, promises broken " << counts.wrong.size();
    return text.str();
}

} // namespace fuelring::faults
