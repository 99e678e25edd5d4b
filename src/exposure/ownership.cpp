// SPDX-License-Identifier: Apache-2.0

// Whose conifers are they? Outlines are cut along parcel lines (geometry/partition), and every
// stretch of outline or line is integrated once: it enters the sum of the part to its left and
// leaves that of the part to its right. So each share is the integral along its own boundary, and
// none is what the others leave over: an error shows as a sum that does not fit.
//
// Where parts do not close, rounding has judged one place in two ways. Lines moved aside by a
// micrometre meet other places; so little ground changes hands that no figure shows it.
#include "exposure/ownership.hpp"

#include "exposure/areas.hpp"
#include "exposure/measure_parts.hpp"
#include "geometry/partition/outline_overlay.hpp"

#include <algorithm>
#include <limits>
#include <map>

namespace fuelring {

namespace {

/// Parts of a footprint that differ by less than this share of it are equal.
constexpr double same_part = 1e-9;

/// Lines are moved by so much where parts do not close; each further try moves them further.
constexpr Point nudge_m{1.1e-6, 0.7e-6};
constexpr int most_nudges = 8;

/// Stands for areas of parts that do not close.
constexpr double not_known = std::numeric_limits<double>::quiet_NaN();

/// Lines of the map that may meet a box of local metres, where `label` tells the sides apart.
template <typename Label>
std::vector<DividingLine> lines_about(const Box& local, const FrameOnGrid& frame,
                                      const ParcelMap& map, Label label)
{
    std::vector<DividingLine> lines;
    for (const std::uint32_t k :
         map.lines_about({frame.to_grid(local.min), frame.to_grid(local.max)})) {
        const ParcelLine& line = map.lines()[k];
        const int left = label(line.left);
        const int right = label(line.right);
        if (left != right)
            lines.push_back({frame.to_local(from_lattice(line.line.a)),
                             frame.to_local(from_lattice(line.line.b)), left, right});
    }
    return lines;
}

/// Divides outlines; where parts do not close, with the lines a little aside.
template <typename Label>
Division divide(std::span<const Outline> outlines, const FrameOnGrid& frame, const ParcelMap& map,
                Label label, bool& nudged)
{
    const std::vector<DividingLine> lines = lines_about(bounds(outlines.back()), frame, map, label);
    const auto label_at = [&](Point p) { return label(map.at(frame.to_grid(p))); };
    Division division = divided(outlines, lines, label_at);
    for (int n = 1; n <= most_nudges && !division.closes; ++n) {
        nudged = true;
        const Point aside = n * nudge_m;
        std::vector<DividingLine> moved = lines;
        for (DividingLine& line : moved) {
            line.a = line.a + aside;
            line.b = line.b + aside;
        }
        division = divided(outlines, moved, [&](Point p) { return label_at(p - aside); });
    }
    return division;
}

/// A region of one outline, divided by kinds of owner; tells `result` how that went.
template <typename Result>
Division divide_by_kind(const Outline& region, const FrameOnGrid& on_grid, const Ownership& owners,
                        Result& result)
{
    const auto kind = [&](std::int32_t parcel) { return static_cast<int>(owners.kind_of(parcel)); };
    Division division = divide(std::span{&region, 1}, on_grid, owners.map, kind, result.nudged);
    result.open = !division.closes;
    return division;
}

/// The integral of x dy along a straight line.
double x_dy(Point from, Point to)
{
    return 0.5 * (from.x + to.x) * (to.y - from.y);
}

/// Adds up what Division's stretches contribute to the parts of rings.
class Parts {
public:
    Parts(std::size_t rings, std::size_t labels) : labels_(labels), sum_(rings * labels) {}

    // Outline k bounds ring k from outside and ring k + 1 from inside.
    void add_outline(std::size_t outline, int label, double integral)
    {
        at(outline, label) += integral;
        if (outline + 1 < sum_.size() / labels_)
            at(outline + 1, label) -= integral;
    }
    void add_line(const LineStretch& s, double integral)
    {
        at(s.ring, s.left) += integral;
        at(s.ring, s.right) -= integral;
    }
    std::vector<double> take() { return std::move(sum_); }

private:
    double& at(std::size_t ring, int label)
    {
        return sum_[ring * labels_ + static_cast<std::size_t>(label)];
    }
    std::size_t labels_;
    std::vector<double> sum_;
};

} // namespace

std::vector<std::string> Ownership::shares() const
{
    std::vector<std::string> names{"own", "other_private"};
    for (std::size_t k = 0; k < classes.size(); ++k)
        if (static_cast<std::int32_t>(k) != private_class.value_or(-1))
            names.push_back(classes[k]);
    names.emplace_back("no_parcel");
    return names;
}

std::vector<std::string> Ownership::kinds() const
{
    std::vector<std::string> names = classes;
    names.emplace_back("no_parcel");
    return names;
}

std::size_t Ownership::share_count() const
{
    return classes.size() + (private_class ? 2 : 3);
}

int Ownership::share_of(std::int32_t parcel, std::int32_t own) const
{
    const auto others =
        static_cast<std::int32_t>(classes.size()) - (private_class.has_value() ? 1 : 0);
    if (parcel == no_parcel)
        return 2 + others;
    if (parcel == own)
        return 0;
    const std::int32_t owner = class_of[static_cast<std::size_t>(parcel)];
    if (!private_class || owner < *private_class)
        return 2 + owner;
    return owner == *private_class ? 1 : 1 + owner;
}

std::optional<ParcelPart> most_of_footprint(const Footprint& footprint, const FrameOnGrid& frame,
                                            const ParcelMap& map)
{
    const Outline outline = outline_of(footprint);
    bool nudged = false;
    const Division division = divide(
        std::span{&outline, 1}, frame, map, [](std::int32_t parcel) { return parcel; }, nudged);
    std::map<std::int32_t, double> area;
    if (division.whole.front())
        area[*division.whole.front()] = area_m2(footprint);
    for (const OutlineStretch& s : division.outlines)
        area[s.label] += x_dy(s.piece.start, s.piece.end);
    for (const LineStretch& s : division.lines) {
        area[s.left] += x_dy(s.from, s.to);
        area[s.right] -= x_dy(s.from, s.to);
    }
    // A later parcel must hold more than rounding could make of an equal part.
    const double same = same_part * area_m2(footprint);
    std::optional<ParcelPart> best;
    for (const auto& [parcel, part] : area)
        if (parcel != no_parcel && part > (best ? best->m2 : 0) + same)
            best = {parcel, part};
    return best;
}

std::optional<std::int32_t> parcel_under(const Footprint& footprint, const FrameOnGrid& frame,
                                         const ParcelMap& map)
{
    const std::optional<ParcelPart> part = most_of_footprint(footprint, frame, map);
    return part ? std::optional{part->parcel} : std::nullopt;
}

MeasuredStructure measure_by_owner(const Footprint& footprint, const RingOutlines& outlines,
                                   const CellFrame& frame, const Grid& grid, const FuelWindow& fuel,
                                   const RingPlan& plan, const FrameOnGrid& on_grid,
                                   const Ownership& owners)
{
    OwnerSplit split;
    split.own = parcel_under(footprint, on_grid, owners.map);
    const std::int32_t own = split.own.value_or(no_parcel);
    const Division division = divide(
        std::span{outlines.within}, on_grid, owners.map,
        [&](std::int32_t parcel) { return owners.share_of(parcel, own); }, split.nudged);
    split.open = !division.closes;
    const coverage::Gatherer gatherer{frame, grid, fuel, bounds(outlines.within.back())};
    std::vector<coverage::Integral> within(outlines.within.size());
    Parts parts{within.size(), owners.share_count()};
    for (std::size_t k = 0; k < within.size(); ++k)
        // No line meets this outline: one integral serves the ring and its owner.
        if (const auto label = division.whole[k]) {
            within[k] = gatherer.integrate(outlines.within[k]);
            parts.add_outline(k, *label, within[k].conifer);
        }
    for (const OutlineStretch& s : division.outlines) {
        const coverage::Integral stretch = gatherer.integrate(s.piece);
        within[s.outline] += stretch;
        parts.add_outline(s.outline, s.label, stretch.conifer);
    }
    for (const LineStretch& s : division.lines)
        parts.add_line(s, gatherer.conifer(Piece::line(s.from, s.to)));
    split.conifer_m2 = parts.take();
    for (double& area : split.conifer_m2)
        area = area * grid.cell_area_m2() < rounding_m2 ? 0 : area * grid.cell_area_m2();
    if (split.open)
        std::fill(split.conifer_m2.begin(), split.conifer_m2.end(), not_known);
    return {measure_from(within, footprint, outlines, frame, grid, fuel, plan),
            std::make_shared<const OwnerSplit>(std::move(split))};
}

ConiferByKind conifer_by_kind(const Outline& region, const coverage::Gatherer& gatherer,
                              const Grid& grid, const FrameOnGrid& on_grid, const Ownership& owners)
{
    ConiferByKind result;
    const Division division = divide_by_kind(region, on_grid, owners, result);
    Parts parts{1, owners.kind_count()};
    const auto add = [&](const Piece& piece, int label) {
        const double conifer = gatherer.conifer(piece);
        result.m2 += conifer * grid.cell_area_m2();
        parts.add_outline(0, label, conifer);
    };
    if (division.whole.front())
        for (const Piece& piece : region.pieces)
            add(piece, *division.whole.front());
    for (const OutlineStretch& s : division.outlines)
        add(s.piece, s.label);
    for (const LineStretch& s : division.lines)
        parts.add_line(s, gatherer.conifer(Piece::line(s.from, s.to)));
    result.of_kind = parts.take();
    for (double& area : result.of_kind)
        area = result.open ? not_known : area * grid.cell_area_m2();
    return result;
}

RegionByKind region_by_kind(const Outline& region, const FrameOnGrid& on_grid,
                            const Ownership& owners)
{
    RegionByKind result;
    result.of_kind.resize(owners.kind_count());
    const Division division = divide_by_kind(region, on_grid, owners, result);
    const auto pieces_of = [&](int label) -> std::vector<Piece>& {
        return result.of_kind[static_cast<std::size_t>(label)].pieces;
    };
    if (division.whole.front())
        pieces_of(*division.whole.front()) = region.pieces;
    for (const OutlineStretch& s : division.outlines)
        pieces_of(s.label).push_back(s.piece);
    for (const LineStretch& s : division.lines) {
        pieces_of(s.left).push_back(Piece::line(s.from, s.to));
        pieces_of(s.right).push_back(Piece::line(s.to, s.from));
    }
    return result;
}

std::vector<double> within_by_kind(const OwnerSplit& split, const Ownership& owners)
{
    const std::size_t shares = owners.share_count();
    const std::size_t kinds = owners.kind_count();
    // In the order of shares(): own, other private, the classes that are not private, no parcel.
    std::vector<std::size_t> kind_of_share;
    kind_of_share.push_back(owners.kind_of(split.own.value_or(no_parcel)));
    kind_of_share.push_back(static_cast<std::size_t>(owners.private_class.value_or(0)));
    for (std::size_t k = 0; k < kinds; ++k)
        if (static_cast<std::int32_t>(k) != owners.private_class.value_or(-1))
            kind_of_share.push_back(k);
    std::vector<double> within;
    within.reserve(split.conifer_m2.size() / shares * kinds);
    std::vector<double> sum(kinds);
    for (std::size_t k = 0; k < split.conifer_m2.size(); ++k) {
        sum[kind_of_share[k % shares]] += split.conifer_m2[k];
        if (k % shares + 1 == shares)
            within.insert(within.end(), sum.begin(), sum.end());
    }
    return within;
}

Ownership map_of_places(const std::vector<Footprint>& places)
{
    Ownership map;
    for (std::size_t k = 0; k < places.size(); ++k) {
        ParcelShape shape;
        for (const Loop& loop : places[k].loops)
            std::transform(loop.begin(), loop.end(), std::back_inserter(shape.emplace_back()),
                           to_lattice);
        map.shapes.push_back(std::move(shape));
        map.class_of.push_back(static_cast<std::int32_t>(k));
        map.classes.push_back(std::to_string(k));
    }
    map.parcels = places.size();
    map.map = ParcelMap{map.shapes};
    return map;
}

} // namespace fuelring
