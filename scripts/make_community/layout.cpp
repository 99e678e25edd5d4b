// SPDX-License-Identifier: Apache-2.0
#include "layout.hpp"

#include <algorithm>

namespace community {
namespace {

constexpr double station_m = 9; // how finely curved sides of lots are drawn

/// A block between two cross streets. Places in it are (t, line): t from 0 to 1 between the cross
/// streets, the line one of its sides or its middle.
class Block {
public:
    Block(const RowPlan& row, double from, double to) : row_(row), from_(from), to_(to) {}

    enum class Line { near_front, middle, far_front };

    Point at(double t, Line line) const
    {
        const double along = along_at(t, base_m(line));
        return row_.spine->at(along, beside_m(line, along));
    }
    double front_length_m(Line line) const
    {
        double sum_m = 0;
        constexpr int pieces = 16;
        for (int i = 0; i < pieces; ++i)
            sum_m += length(at((i + 1.0) / pieces, line) - at(i / double{pieces}, line));
        return sum_m;
    }
    double length_m() const { return to_ - from_; }
    bool two_sided() const { return !row_.near_street.empty() && !row_.far_street.empty(); }

private:
    double sign() const { return row_.far_m > row_.near_m ? 1 : -1; }

    double base_m(Line line) const
    {
        switch (line) {
        case Line::near_front:
            return row_.near_m;
        case Line::far_front:
            return row_.far_m;
        case Line::middle:
            break;
        }
        return two_sided() ? (row_.near_m + row_.far_m) / 2 : row_.far_m;
    }
    double along_at(double t, double base) const
    {
        const double lean = row_.slant * (base - (row_.near_m + row_.far_m) / 2);
        return from_ + right_of_way_half_m + lean + t * (to_ - from_ - 2 * right_of_way_half_m);
    }
    double beside_m(Line line, double along) const
    {
        const double near = street_line(row_.near_m, row_.wander_m, along);
        const double far = two_sided() ? street_line(row_.far_m, row_.wander_m, along)
                                       : row_.far_m + near - row_.near_m;
        switch (line) {
        case Line::near_front:
            return near + sign() * right_of_way_half_m;
        case Line::far_front:
            return two_sided() ? far - sign() * right_of_way_half_m : far;
        case Line::middle:
            break;
        }
        return two_sided() ? (near + far) / 2 : far;
    }

    const RowPlan& row_;
    double from_, to_;
};

/// Where the lots along one front begin and end, as t from 0 to 1. Corner lots are wider.
std::vector<double> cut_front(const Block& block, Block::Line front, double frontage_m, Rng& rng)
{
    const double total_m = block.front_length_m(front);
    std::vector<double> widths;
    double sum_m = 0;
    while (sum_m < total_m - 0.5 * frontage_m) {
        widths.push_back(frontage_m * rng.between(0.82, 1.25) * (sum_m == 0 ? 1.15 : 1));
        sum_m += widths.back();
    }
    std::vector<double> cuts{0};
    double done_m = 0;
    for (const double width_m : widths)
        cuts.push_back((done_m += width_m) / sum_m);
    if (!widths.empty())
        cuts.back() = 1;
    return cuts;
}

/// The corners of the back line: regular stations and the ends of all lots, so that lots back to
/// back share every vertex.
std::vector<double> back_stations(const Block& block, const std::vector<double>& near_cuts,
                                  const std::vector<double>& far_cuts)
{
    std::vector<double> all = near_cuts;
    all.insert(all.end(), far_cuts.begin(), far_cuts.end());
    const auto pieces = std::max(1.0, std::floor(block.length_m() / station_m));
    for (double i = 0; i <= pieces; ++i)
        all.push_back(i / pieces);
    std::sort(all.begin(), all.end());
    all.erase(std::unique(all.begin(), all.end()), all.end());
    return all;
}

Lot lot_between(const Block& block, Block::Line front, double t0, double t1,
                const std::vector<double>& back)
{
    Lot lot{};
    const double pieces = std::max(1.0, std::floor((t1 - t0) * block.length_m() / station_m));
    for (double i = 0; i <= pieces; ++i)
        lot.outline.push_back(snapped(block.at(t0 + (t1 - t0) * i / pieces, front)));
    for (auto t = back.rbegin(); t != back.rend(); ++t)
        if (*t >= t0 && *t <= t1)
            lot.outline.push_back(snapped(block.at(*t, Block::Line::middle)));
    const Point left = block.at(t0, front), right = block.at(t1, front);
    lot.front = block.at((t0 + t1) / 2, front);
    lot.along = unit(right - left);
    const Point behind = block.at((t0 + t1) / 2, Block::Line::middle) - lot.front;
    lot.inward = dot(left_of(lot.along), behind) > 0 ? left_of(lot.along) : left_of(lot.along) * -1;
    lot.frontage_m = length(right - left);
    lot.depth_m = dot(behind, lot.inward);
    if (signed_area_m2(lot.outline) < 0)
        std::reverse(lot.outline.begin(), lot.outline.end());
    return lot;
}

void add_lots(const Block& block, const RowPlan& row, Rng& rng, HouseNumbers& numbers,
              std::vector<Lot>& lots)
{
    using Line = Block::Line;
    const bool left = row.far_m > row.near_m;
    std::vector<double> near_cuts, far_cuts;
    if (!row.near_street.empty())
        near_cuts = cut_front(block, Line::near_front, row.manner.frontage_m, rng);
    if (!row.far_street.empty())
        far_cuts = cut_front(block, Line::far_front, row.manner.frontage_m, rng);
    const std::vector<double> back = back_stations(block, near_cuts, far_cuts);
    const auto add = [&](const std::vector<double>& cuts, Line front, const std::string& street,
                         bool even) {
        for (std::size_t i = 0; i + 1 < cuts.size(); ++i) {
            lots.push_back(lot_between(block, front, cuts[i], cuts[i + 1], back));
            lots.back().street = street;
            lots.back().number = numbers.next(street, even);
        }
    };
    add(near_cuts, Line::near_front, row.near_street, left);
    add(far_cuts, Line::far_front, row.far_street, !left);
}

void pave(const Ring& line, double half_width_m, Community& community)
{
    community.paints.push_back({.layer = Layer::road,
                                .code = paved,
                                .area = {},
                                .line = line,
                                .half_width_m = half_width_m});
}

/// The band of ground around a line.
Polygon band(const Ring& line, double half_width_m)
{
    Ring left, right;
    for (std::size_t i = 0; i < line.size(); ++i) {
        const Point before = line[i == 0 ? 0 : i - 1];
        const Point after = line[std::min(i + 1, line.size() - 1)];
        const Point across = left_of(unit(after - before)) * half_width_m;
        left.push_back(snapped(line[i] + across));
        right.push_back(snapped(line[i] - across));
    }
    right.insert(right.end(), left.rbegin(), left.rend());
    return {right};
}

void add_streets_of(const RowPlan& row, Community& community)
{
    const double middle = (row.near_m + row.far_m) / 2;
    const auto lengthwise = [&](double base) {
        const double lean = row.slant * (base - middle);
        const double from = row.cuts.front() + lean, to = row.cuts.back() + lean;
        add_street(street_curve(*row.spine, base, row.wander_m, from, to), row.paved_half_m,
                   community);
    };
    if (!row.near_street.empty())
        lengthwise(row.near_m);
    if (!row.far_street.empty())
        lengthwise(row.far_m);
    if (!row.cross_streets)
        return;
    for (const double cut : row.cuts) {
        Ring line;
        for (double i = 0; i <= 8; ++i) {
            const double base = row.near_m + (row.far_m - row.near_m) * i / 8;
            const double along = cut + row.slant * (base - middle);
            const double near = street_line(row.near_m, row.wander_m, along);
            const double far = street_line(row.far_m, row.wander_m, along);
            line.push_back(row.spine->at(along, near + (far - near) * i / 8));
        }
        add_street(line, row.paved_half_m * 0.9, community);
    }
}

} // namespace

int HouseNumbers::next(const std::string& street, bool even)
{
    int& last = last_.try_emplace({street, even}, even ? 0 : -1).first->second;
    return last += 2;
}

double street_line(double base_m, double wander_m, double along)
{
    const auto seed = static_cast<std::uint64_t>(static_cast<std::int64_t>(base_m * 16));
    return base_m + wander_m * (2 * noise(seed, along / 120, 0.5) - 1);
}

std::vector<Lot> lay_out(const RowPlan& row, Rng& rng, HouseNumbers& numbers, Community& community)
{
    std::vector<Lot> lots;
    for (std::size_t i = 0; i + 1 < row.cuts.size(); ++i)
        add_lots(Block{row, row.cuts[i], row.cuts[i + 1]}, row, rng, numbers, lots);
    add_streets_of(row, community);
    return lots;
}

Ring street_curve(const Spine& spine, double base_m, double wander_m, double from, double to)
{
    Ring line;
    const double pieces = std::max(1.0, std::floor((to - from) / 5));
    for (double i = 0; i <= pieces; ++i) {
        const double along = from + (to - from) * i / pieces;
        line.push_back(spine.at(along, street_line(base_m, wander_m, along)));
    }
    return line;
}

Ring band_between(const Spine& spine, double near_m, double far_m, double wander_m, double from,
                  double to)
{
    Ring ring = street_curve(spine, near_m, wander_m, from, to);
    const Ring far = street_curve(spine, far_m, wander_m, from, to);
    ring.insert(ring.end(), far.rbegin(), far.rend());
    for (Point& p : ring)
        p = snapped(p);
    if (signed_area_m2(ring) < 0)
        std::reverse(ring.begin(), ring.end());
    return ring;
}

void add_street(const Ring& line, double paved_half_m, Community& community)
{
    pave(line, paved_half_m, community);
    // A little wider than what the lots leave, so that no sliver lies between: lots are cut out
    // later.
    community.streets.push_back(band(line, right_of_way_half_m + 0.5));
}

} // namespace community
