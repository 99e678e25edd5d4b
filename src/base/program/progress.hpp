// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <chrono>
#include <condition_variable>
#include <cstdint>
#include <functional>
#include <mutex>
#include <optional>
#include <string>
#include <string_view>
#include <thread>

namespace fuelring {

class Log;

/// A part of a run, as people are told of it: "measuring 12,400 of 25,000 structures".
struct Phase {
    std::string doing;      ///< "measuring", "writing tables"
    std::string things{};   ///< "structures"; empty where nothing is counted
    std::int64_t count = 0; ///< how many of them there are
    std::int64_t work = 0;  ///< its share of the run's work, in the unit of Progress::expect
};

/// What a line says.
struct ProgressView {
    Phase phase;
    std::int64_t things = 0;    ///< done of phase.count
    std::optional<int> percent; ///< of the run; empty while nobody knows how much there is
    std::chrono::seconds elapsed{};
    std::optional<std::chrono::seconds> remaining; ///< a guess; empty where it is too early
};

/// "44%, measuring 12,400 of 25,000 structures, 8 s, about 10 s to go".
std::string progress_line(const ProgressView& view);

/// Tells people how far a command is: on a terminal one line that changes, elsewhere a line every
/// ten seconds. A thread of its own tells, so that long phases without news are told as well.
/// Law: percentages never fall, stay below 100 until `done`, and are then 100.
/// Threads: all members may be called from several, but done() and the destructor, which end the
/// telling. Where no thread can be had, nothing is told.
class Progress {
public:
    using Say = std::function<void(std::string_view)>;

    /// Nothing is told where the log is quiet. The log must outlive it.
    explicit Progress(Log& log);
    /// Tells `say` every so often. `always_ends`: 100 % is said even if nothing was said before.
    Progress(Say say, std::chrono::milliseconds every, bool always_ends);
    ~Progress(); ///< without a word: whoever ends a run early says why
    Progress(const Progress&) = delete;
    Progress& operator=(const Progress&) = delete;

    /// Adds to the work of the run, in a unit of the caller's choice; before any of it is done.
    void expect(std::int64_t work);
    /// The phase before has ended: all of its work counts as done.
    void begin(Phase phase);
    /// So many things more of the phase are done.
    void advance(std::int64_t things = 1);
    /// Work that is done beside the phases.
    void beside(std::int64_t work);
    /// The outputs are in place: 100 %.
    void done();

private:
    using Clock = std::chrono::steady_clock;

    void tell();
    void stop();
    std::string line();
    double work_done() const;

    Say say_;
    std::chrono::milliseconds every_;
    bool always_ends_;
    Clock::time_point start_ = Clock::now();

    std::mutex mutex_; ///< of all that follows
    std::condition_variable ended_;
    bool stopped_ = false;
    bool told_ = false;
    Phase phase_;
    std::int64_t things_ = 0;
    std::int64_t total_ = 0;
    std::int64_t finished_ = 0; ///< work of the phases before and beside
    int percent_ = 0;           ///< that was told
    std::optional<Clock::time_point> work_start_;

    std::thread teller_;
};

} // namespace fuelring
