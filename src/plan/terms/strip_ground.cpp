// SPDX-License-Identifier: Apache-2.0
#include "plan/terms/strip_ground.hpp"

#include "plan/terms/line_choice.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <tuple>

namespace fuelring::plan {

namespace {

constexpr int most_prices = 60;

/// Halves in between a price that is too low and one that is high enough, as `fits` says.
template <typename Fits>
void search_prices(double highest, Fits&& fits)
{
    double low = 0;
    double high = highest;
    if (fits(low))
        return;
    for (int k = 0; k < most_prices && high - low > 1e-12 * high; ++k) {
        const double middle = 0.5 * (low + high);
        (fits(middle) ? high : low) = middle;
    }
}

double cost_of(const std::vector<Unit>& units, const UnitRules& rules)
{
    return totals_of(units, rules).cost;
}

/// Spends what is left of a budget a slice at a time, or a stretch of the least length: whatever
/// adds most for its cost.
class Remainder {
public:
    Remainder(const PlanGrid& grid, const UnitRules& rules, const std::vector<StripLine>& lines,
              double least_length_m, double budget)
        : grid_(grid), rules_(rules), lines_(lines), least_length_m_(least_length_m),
          budget_(budget)
    {
        for (const StripLine& line : lines)
            used_.emplace_back(line.size());
    }

    std::vector<StripPlace> spend(const std::vector<Unit>& chosen)
    {
        double cost = 0;
        for (const Unit& unit : chosen) {
            places_.push_back(unit.strip);
            use(unit.strip);
            cost += unit.cost;
        }
        for (left_ = budget_ - cost; find();) {
            left_ -= best_cost_;
            use(best_);
            if (grown_ < places_.size())
                places_[grown_] = best_;
            else
                places_.push_back(best_);
        }
        return places_;
    }

private:
    void use(const StripPlace& place)
    {
        for (std::uint32_t k = place.first; k < place.end; ++k)
            used_[place.line][k] = 1;
    }

    bool free(std::uint32_t line, std::size_t k) const
    {
        return k < lines_[line].size() && lines_[line][k].zone != no_zone && !used_[line][k];
    }

    /// Zone, conifers, points and costs.
    Unit sums_of(const StripPlace& place) const
    {
        Unit unit;
        for (std::uint32_t k = place.first; k < place.end; ++k) {
            const StripSlice& slice = lines_[place.line][k];
            unit.zone = slice.zone;
            unit.conifer += slice.conifer;
            unit.points += slice.points;
        }
        set_cost(grid_, rules_, unit);
        return unit;
    }

    void consider(const StripPlace& place, std::size_t grown)
    {
        const Unit after = sums_of(place);
        Unit before;
        if (grown < places_.size())
            before = sums_of(places_[grown]);
        const double cost = after.cost - before.cost;
        const double points = after.removed_points() - before.removed_points();
        if (points <= 0 || cost > left_ + 1e-9)
            return;
        const double ratio = points / std::max(cost, 1e-9);
        if (ratio <= best_ratio_)
            return;
        best_ratio_ = ratio;
        best_cost_ = cost;
        best_ = place;
        grown_ = grown;
    }

    bool find()
    {
        best_ratio_ = 0;
        for (std::size_t u = 0; u < places_.size(); ++u) {
            const StripPlace& p = places_[u];
            const ZoneId zone = lines_[p.line][p.first].zone;
            if (free(p.line, p.end) && lines_[p.line][p.end].zone == zone)
                consider({p.line, p.first, p.end + 1}, u);
            if (p.first > 0 && free(p.line, p.first - 1) &&
                lines_[p.line][p.first - 1].zone == zone)
                consider({p.line, p.first - 1, p.end}, u);
        }
        for (std::uint32_t l = 0; l < lines_.size(); ++l)
            for (std::uint32_t first = 0; first < lines_[l].size(); ++first)
                if (const std::uint32_t end = shortest(l, first); end > first)
                    consider({l, first, end}, places_.size());
        return best_ratio_ > 0;
    }

    /// The end of the shortest stretch that may begin there; `first` where there is none.
    std::uint32_t shortest(std::uint32_t line, std::uint32_t first) const
    {
        double length_m = 0;
        for (std::uint32_t k = first;
             free(line, k) && lines_[line][k].zone == lines_[line][first].zone; ++k) {
            length_m += lines_[line][k].length_m;
            if (length_m >= least_length_m_ - length_rounding_m)
                return k + 1;
        }
        return first;
    }

    const PlanGrid& grid_;
    const UnitRules& rules_;
    const std::vector<StripLine>& lines_;
    double least_length_m_;
    double budget_;
    double left_ = 0;
    std::vector<std::vector<std::uint8_t>> used_; ///< by line and slice
    std::vector<StripPlace> places_;
    double best_ratio_ = 0;
    double best_cost_ = 0;
    StripPlace best_;
    std::size_t grown_ = 0; ///< which place grows; places_.size(): a new one
};

} // namespace

std::unique_ptr<ChoiceGround> StripGround::copy() const
{
    return std::make_unique<StripGround>(*this);
}

double StripGround::highest_price() const
{
    double most = 0;
    for (const StripLine& line : lines_)
        for (const StripSlice& slice : line)
            if (slice.zone != no_zone && slice.conifer > 0)
                most = std::max(most, points_unit * static_cast<double>(slice.points) /
                                          grid_.cost(slice.zone, slice.conifer));
    return 2 * most;
}

StripGround::AtPrice StripGround::choose(double price) const
{
    AtPrice chosen;
    for (std::uint32_t l = 0; l < lines_.size(); ++l) {
        const LineChoice choice{grid_, rules_, lines_[l], least_length_m_, price};
        chosen.surplus += choice.surplus();
        for (const auto& [first, end] : choice.stretches())
            chosen.units.push_back(sums_of({l, first, end}));
    }
    return chosen;
}

Unit StripGround::sums_of(const StripPlace& place) const
{
    Unit unit;
    unit.strip = place;
    for (std::uint32_t k = place.first; k < place.end; ++k) {
        const StripSlice& slice = lines_[place.line][k];
        unit.zone = slice.zone;
        unit.conifer += slice.conifer;
        unit.points += slice.points;
        unit.cell_area += slice.cell_area;
    }
    set_cost(grid_, rules_, unit);
    return unit;
}

Unit StripGround::unit_of(const StripPlace& place) const
{
    Unit unit = sums_of(place);
    std::vector<CellRun>& cells = unit.treated;
    for (std::uint32_t k = place.first; k < place.end; ++k) {
        const StripSlice& slice = lines_[place.line][k];
        cells.insert(cells.end(), slice.cells.begin(), slice.cells.end());
    }
    const auto at = [](const CellRun& c) { return std::pair{c.row, c.col}; };
    std::sort(cells.begin(), cells.end(),
              [&](const CellRun& a, const CellRun& b) { return at(a) < at(b); });
    cells.erase(std::unique(cells.begin(), cells.end(),
                            [&](const CellRun& a, const CellRun& b) { return at(a) == at(b); }),
                cells.end());
    put_in_order(cells);
    return unit;
}

std::vector<Unit> StripGround::within(double budget) const
{
    std::vector<Unit> best;
    std::int64_t most = -1;
    search_prices(highest_price(), [&](double price) {
        std::vector<Unit> units = choose(price).units;
        const PlanTotals totals = totals_of(units, rules_);
        if (totals.cost > budget)
            return false;
        if (totals.points >= most) {
            most = totals.points;
            best = std::move(units);
        }
        return true;
    });
    std::vector<Unit> all;
    for (const StripPlace& place :
         Remainder{grid_, rules_, lines_, least_length_m_, budget}.spend(best))
        all.push_back(unit_of(place));
    return all;
}

std::vector<Unit> StripGround::at_price(Key key) const
{
    std::vector<Unit> units = choose(ratio_of(key)).units;
    for (Unit& unit : units)
        unit = unit_of(unit.strip);
    return units;
}

double StripGround::most_points(double budget) const
{
    double most = std::numeric_limits<double>::infinity();
    search_prices(highest_price(), [&](double price) {
        const AtPrice chosen = choose(price);
        most = std::min(most, price * budget + chosen.surplus);
        return cost_of(chosen.units, rules_) <= budget;
    });
    return most;
}

void StripGround::close(const std::vector<std::uint8_t>& zones, bool of_these)
{
    for (StripLine& line : lines_)
        for (StripSlice& slice : line)
            if ((zones[slice.zone] != 0) == of_these)
                slice.zone = no_zone;
}

void StripGround::take(const std::vector<Unit>& units)
{
    for (const Unit& unit : units)
        for (std::uint32_t k = unit.strip.first; k < unit.strip.end; ++k)
            lines_[unit.strip.line][k].zone = no_zone;
}

} // namespace fuelring::plan
