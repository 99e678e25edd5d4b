// SPDX-License-Identifier: Apache-2.0

// Cells come in by falling key, as if the price fell from the highest to nothing (Kruskal's order;
// Proceedings of the American Mathematical Society 7, 1956). Around each that borders on open
// ground, the cells to which it is nearest become its territory, no further than half the longest
// way; where two territories meet and both ways together are short enough, their cells are linked,
// unless edges and earlier links join them already. Meetings suffice: along a shortest way between
// two cells no point is further from a cell than from either end.
//
// Block by block, each with a margin as wide as a way may be long. A block tells the links of its
// own cells to those that came before: whatever joins these elsewhere came in before, too.
#include "plan/gap_links.hpp"

#include "base/disjoint_sets.hpp"
#include "plan/cell_window.hpp"

#include <array>

namespace fuelring::plan {

namespace {

/// A cell that comes in: the complement of its key above its number in the window.
using Entry = std::uint64_t;

/// By key, then number; `other` is room for as many.
void sort_entries(std::vector<Entry>& entries, std::vector<Entry>& other)
{
    constexpr int digit_bits = 11;
    constexpr std::size_t digits = std::size_t{1} << digit_bits;
    other.resize(entries.size());
    for (int shift = 0; shift < 64; shift += digit_bits) {
        const auto digit = [shift](Entry e) { return (e >> shift) & (digits - 1); };
        std::array<std::uint32_t, digits> first{};
        for (const Entry e : entries)
            ++first[digit(e)];
        if (first[digit(entries.front())] == entries.size())
            continue;
        std::uint32_t before = 0;
        for (std::uint32_t& place : first)
            before += std::exchange(place, before);
        for (const Entry e : entries)
            other[first[digit(e)]++] = e;
        entries.swap(other);
    }
}

/// One worker's planes, kept from block to block.
class Sweep {
public:
    Sweep(const PlanGrid& grid, double gap_m, int widest_ring, Key lowest)
        : grid_(grid), rule_(grid, gap_m), widest_ring_(widest_ring), lowest_(lowest),
          half_(rule_.limit_cm / 2), queue_(half_)
    {}

    GapLinks::OfBlock run(std::size_t number)
    {
        own_ = grid_.blocks()[number].rect;
        links_ = {};
        load();
        if (!entries_.empty())
            sort_entries(entries_, sorted_);
        for (const Entry entry : entries_) {
            key_ = ~static_cast<Key>(entry >> 32);
            add(static_cast<std::int32_t>(entry & UINT32_MAX));
        }
        links_.inside.shrink_to_fit();
        links_.across.shrink_to_fit();
        return std::move(links_);
    }

private:
    // What a cell is, by its zone: open ground, a conifer that came in, one that did not.
    static constexpr std::uint32_t came_in = 1;
    static constexpr std::uint32_t closed = std::uint32_t{1} << 31;
    static constexpr std::int32_t nobody = -1;
    static constexpr std::size_t edge_steps = 4; ///< come first
    static std::uint32_t open_of(ZoneId zone) { return std::uint32_t{zone} << 1; }

    /// A step in numbers of the window; aslant it passes two cells.
    struct WindowStep {
        std::int32_t to;
        std::int32_t beside_row;
        std::int32_t beside_col;
        int cm;
    };

    void lay_steps()
    {
        for (std::size_t k = 0; k < all_steps.size(); ++k) {
            const Step& s = all_steps[k];
            steps_[k] = {window_.next(0, s), 0, 0, rule_.step_cm(s)};
            if (s.is_aslant()) {
                steps_[k].beside_row = window_.next(0, {s.row, 0});
                steps_[k].beside_col = s.col;
            }
        }
    }

    void load()
    {
        const CellRect within = widened(own_, rule_.reach_cells());
        entries_.clear();
        window_ = {widened(within, 1)}; // the frame belongs to no zone
        lay_steps();
        ground_.assign(window_.size(), closed);
        for_each_block(grid_, within, [&](const Block& block, const CellRect& part) {
            window_.look_at(
                block, part,
                [&](std::int32_t from, std::int32_t to, ZoneId zone) {
                    ground_.fill(from, to, zone == no_zone ? closed : open_of(zone));
                },
                [&](std::int32_t cell, std::size_t k) {
                    ground_[cell] |= closed;
                    if (block.key[k] >= lowest_ && block.ring(k) <= widest_ring_)
                        entries_.push_back(Entry{~block.key[k]} << 32 |
                                           static_cast<std::uint32_t>(cell));
                });
        });
        if (entries_.empty())
            return;
        label_.assign(window_.size(), nobody);
        way_.assign(window_.size(), UINT16_MAX);
        sets_ = DisjointSets<std::int32_t>{static_cast<std::size_t>(window_.size())};
    }

    void add(std::int32_t at)
    {
        open_ = ground_[at] & ~closed;
        ground_[at] = open_ | came_in;
        label_[at] = at;
        way_[at] = 0;
        bool at_edge = false;
        for (std::size_t k = 0; k < steps_.size(); ++k) {
            const std::int32_t to = at + steps_[k].to;
            at_edge = at_edge || ground_[to] == open_;
            if (k < edge_steps && ground_[to] == (open_ | came_in))
                sets_.unite(at, to);
        }
        if (!at_edge)
            return;
        touched_.assign(1, at);
        spread(at, at, 0);
        queue_.drain([&](int way, std::int32_t from) {
            if (way_[from] != way)
                return; // reached by a shorter way since
            touched_.push_back(from);
            spread(at, from, way);
        });
        for (const std::int32_t from : touched_)
            meet(at, from);
    }

    /// Whether a step aslant passes an open cell.
    bool has_room(std::int32_t from, const WindowStep& s) const
    {
        return s.beside_row == s.beside_col || ground_[from + s.beside_row] == open_ ||
               ground_[from + s.beside_col] == open_;
    }

    /// One step on over open ground.
    void spread(std::int32_t at, std::int32_t from, int way)
    {
        for (const WindowStep& s : steps_) {
            const std::int32_t to = from + s.to;
            const int d = way + s.cm;
            if (d > half_ || d >= way_[to] || ground_[to] != open_ || !has_room(from, s))
                continue;
            way_[to] = static_cast<std::uint16_t>(d);
            label_[to] = at;
            queue_.push(d, to);
        }
    }

    void meet(std::int32_t at, std::int32_t from)
    {
        for (const WindowStep& s : steps_) {
            const std::int32_t to = from + s.to;
            const std::int32_t other = label_[to];
            if (other == at || other == nobody || (ground_[to] | came_in) != (open_ | came_in) ||
                way_[from] + s.cm + way_[to] > rule_.limit_cm || !has_room(from, s))
                continue;
            if (sets_.unite(at, other))
                tell(at, other);
        }
    }

    void tell(std::int32_t later, std::int32_t earlier)
    {
        const std::int64_t row = window_.row_of(later);
        const std::int64_t col = window_.col_of(later);
        if (!holds(own_, row, col))
            return;
        const std::int64_t other_row = window_.row_of(earlier);
        const std::int64_t other_col = window_.col_of(earlier);
        const Block& block = *grid_.block_at(other_row, other_col);
        const GapLinks::Place a = place_in(own_, row, col);
        const GapLinks::Place b = place_in(block.rect, other_row, other_col);
        if (holds(own_, other_row, other_col))
            links_.inside.push_back({key_, a, b});
        else
            links_.across.push_back(
                {key_, a, b, static_cast<std::uint32_t>(grid_.number_of(block))});
    }
    static bool holds(const CellRect& rect, std::int64_t row, std::int64_t col)
    {
        return !intersection(rect, CellRect{col, row, 1, 1}).empty();
    }
    static GapLinks::Place place_in(const CellRect& rect, std::int64_t row, std::int64_t col)
    {
        return {static_cast<std::uint16_t>(row - rect.row),
                static_cast<std::uint16_t>(col - rect.col)};
    }

    const PlanGrid& grid_;
    GapRule rule_;
    int widest_ring_;
    Key lowest_;
    int half_; ///< no territory is wider
    CellRect own_;
    CellWindow window_;
    std::array<WindowStep, all_steps.size()> steps_{};
    Plane<std::uint32_t> ground_;
    Plane<std::int32_t> label_;         ///< the cell whose territory it is
    Plane<std::uint16_t> way_;          ///< from that, centimetres
    DisjointSets<std::int32_t> sets_;   ///< of cells of the window
    Key key_ = 0;                       ///< of the cell that comes in
    std::uint32_t open_ = 0;            ///< open ground of the zone of the cell that comes in
    std::vector<std::int32_t> touched_; ///< territory that it wins
    std::vector<Entry> entries_, sorted_;
    WayQueue queue_;
    GapLinks::OfBlock links_;
};

} // namespace

GapLinks::GapLinks(const PlanGrid& grid, double gap_m, int widest_ring, const ShareOut& share_out,
                   Key lowest)
    : gap_m_(gap_m), widest_ring_(widest_ring), lowest_(lowest), links_(grid.blocks().size())
{
    share_out(links_.size(), [&](const std::function<std::size_t()>& next) {
        Sweep sweep{grid, gap_m, widest_ring, lowest};
        for (std::size_t b = next(); b < links_.size(); b = next())
            links_[b] = sweep.run(b);
    });
}

} // namespace fuelring::plan
