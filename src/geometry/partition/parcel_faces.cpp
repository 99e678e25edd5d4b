// SPDX-License-Identifier: Apache-2.0

// Which parcels cover the two sides of every line. Every line is two half-lines, each with the
// ground to its left. About a point, the left of one half-line is the right of the next one
// counter- clockwise: that joins sides into the rims of faces. Within a connected figure of lines,
// crossing a line changes the cover by what the line's claims say, starting from the outer rim; and
// what lies about the figure as a whole is what a ray to the left meets first, a figure done
// before, because figures are done from left to right.
#include "geometry/partition/parcel_faces.hpp"

#include "base/disjoint_sets.hpp"

#include <algorithm>
#include <map>
#include <numeric>
#include <utility>

namespace fuelring {

namespace {

using Number = std::uint32_t;
constexpr Number nothing = UINT32_MAX;

using Joined = DisjointSets<Number>;

/// Parcels by how often they cover a face, sorted; an ordinary face has one, or none.
using Cover = std::vector<std::pair<std::int32_t, std::int32_t>>;

void change(Cover& cover, std::int32_t parcel, std::int32_t winding)
{
    const auto at = std::lower_bound(cover.begin(), cover.end(), std::pair{parcel, INT32_MIN});
    if (at == cover.end() || at->first != parcel)
        cover.insert(at, {parcel, winding});
    else if (at->second += winding; at->second == 0)
        cover.erase(at);
}

std::int32_t owner_of(const Cover& cover)
{
    for (const auto& [parcel, winding] : cover)
        if (winding > 0)
            return parcel;
    return no_parcel;
}

class Faces {
public:
    explicit Faces(const std::vector<ParcelClaim>& claims) : claims_(claims)
    {
        for (std::size_t k = 0; k < claims.size(); ++k)
            if (lines_.empty() || lines_.back() != claims[k].line) {
                lines_.push_back(claims[k].line);
                first_claim_.push_back(k);
            }
        first_claim_.push_back(claims.size());
    }

    ParcelFaces find()
    {
        sort_about_points();
        join_sides();
        cover_figures();
        return {kept_lines(), overlaps()};
    }

private:
    // Half-line 2k runs from a to b of line k, 2k + 1 back; the side of a half-line is its left.
    LatticePoint origin(Number h) const { return h % 2 ? lines_[h / 2].b : lines_[h / 2].a; }
    LatticePoint target(Number h) const { return h % 2 ? lines_[h / 2].a : lines_[h / 2].b; }

    /// By origin; about a point counter-clockwise from straight down, so that half-lines to points
    /// further right come first.
    void sort_about_points()
    {
        order_.resize(2 * lines_.size());
        std::iota(order_.begin(), order_.end(), Number{0});
        std::sort(order_.begin(), order_.end(), [this](Number g, Number h) {
            const LatticePoint p = origin(g);
            if (const LatticePoint q = origin(h); p != q)
                return p < q;
            if (g % 2 != h % 2)
                return g % 2 < h % 2;
            return cross(target(g) - p, target(h) - p) > 0;
        });
    }

    template <typename Visit>
    void for_each_point(Visit&& visit) const
    {
        for (std::size_t first = 0; first < order_.size();) {
            std::size_t last = first + 1;
            while (last < order_.size() && origin(order_[last]) == origin(order_[first]))
                ++last;
            visit(first, last);
            first = last;
        }
    }

    void join_sides()
    {
        rims_ = Joined{order_.size()};
        figures_ = Joined{lines_.size()};
        for_each_point([this](std::size_t first, std::size_t last) {
            for (std::size_t k = first; k < last; ++k) {
                const Number next = order_[k + 1 < last ? k + 1 : first];
                rims_.unite(order_[k], next ^ 1U);
                figures_.unite(order_[k] / 2, next / 2);
            }
        });
    }

    /// Points come from left to right, so the first of a figure is its leftmost.
    void cover_figures()
    {
        const SegmentGrid grid{lines_};
        cover_.resize(order_.size());
        known_.assign(order_.size(), false);
        lines_of_rim_.resize(order_.size());
        for (Number h = 0; h < order_.size(); ++h)
            lines_of_rim_[rims_.find(h)].push_back(h);
        std::vector<bool> done(lines_.size());
        for_each_point([&](std::size_t first, std::size_t last) {
            const Number figure = figures_.find(order_[first] / 2);
            if (done[figure])
                return;
            done[figure] = true;
            // To the left of the leftmost point lies the face left of its steepest half-line.
            const Number outer = rims_.find(order_[last - 1]);
            if (const Number around = side_left_of(origin(order_[first]), grid); around != nothing)
                cover_[outer] = cover_[rims_.find(around)];
            spread_from(outer);
        });
        for (auto& list : lines_of_rim_)
            std::vector<Number>{}.swap(list);
    }

    void spread_from(Number outer)
    {
        std::vector<Number> open{outer};
        known_[outer] = true;
        while (!open.empty()) {
            const Number rim = open.back();
            open.pop_back();
            for (const Number h : lines_of_rim_[rim]) {
                const Number other = rims_.find(h ^ 1U);
                if (known_[other])
                    continue;
                known_[other] = true;
                cover_[other] = cover_[rim];
                const Number line = h / 2;
                for (std::size_t k = first_claim_[line]; k < first_claim_[line + 1]; ++k)
                    change(cover_[other], claims_[k].parcel,
                           h % 2 ? claims_[k].winding : -claims_[k].winding);
                open.push_back(other);
            }
        }
    }

    /// The side of the first line that a ray from just above `p` to the left meets. Half a step
    /// above a point of the lattice no line ends, and lines do not cross.
    Number side_left_of(LatticePoint p, const SegmentGrid& grid) const
    {
        const double y = static_cast<double>(p.y) + 0.5;
        Number best = nothing;
        double best_x = 0;
        const std::int64_t row = grid.row_of(p.y);
        for (std::int64_t col = grid.col_of(p.x); col >= 0; --col) {
            for (const Number k : grid.in_cell(grid.number(col, row))) {
                const LatticeSegment& s = lines_[k];
                if ((s.a.y > p.y) == (s.b.y > p.y))
                    continue;
                const double x =
                    static_cast<double>(s.a.x) +
                    (y - static_cast<double>(s.a.y)) *
                        (static_cast<double>(s.b.x - s.a.x) / static_cast<double>(s.b.y - s.a.y));
                if (x >= static_cast<double>(p.x) || (best != nothing && x <= best_x))
                    continue;
                best = s.b.y > s.a.y ? 2 * k + 1 : 2 * k;
                best_x = x;
            }
            if (best != nothing && best_x > static_cast<double>(grid.left_of(col)))
                break;
        }
        return best;
    }

    const Cover& cover_left(Number h) { return cover_[rims_.find(h)]; }

    std::vector<ParcelLine> kept_lines()
    {
        std::vector<ParcelLine> kept;
        for (Number k = 0; k < lines_.size(); ++k) {
            const std::int32_t left = owner_of(cover_left(2 * k));
            const std::int32_t right = owner_of(cover_left(2 * k + 1));
            if (left != right)
                kept.push_back({lines_[k], left, right});
        }
        return kept;
    }

    std::vector<ParcelOverlap> overlaps()
    {
        struct Sum {
            double area = 0, perimeter = 0;
        };
        std::map<std::pair<std::int32_t, std::int32_t>, Sum> sums;
        const auto covers = [](const Cover& cover, std::int32_t parcel) {
            return std::any_of(cover.begin(), cover.end(), [parcel](const auto& c) {
                return c.first == parcel && c.second > 0;
            });
        };
        for (Number h = 0; h < order_.size(); ++h) {
            const Cover& here = cover_left(h);
            if (here.size() < 2)
                continue;
            const Cover& beyond = cover_left(h ^ 1U);
            const Point a = from_lattice(origin(h) - lines_.front().a);
            const Point b = from_lattice(target(h) - lines_.front().a);
            for (std::size_t i = 0; i < here.size(); ++i)
                for (std::size_t j = i + 1; j < here.size(); ++j) {
                    if (here[i].second <= 0 || here[j].second <= 0)
                        continue;
                    Sum& sum = sums[{here[i].first, here[j].first}];
                    sum.area += 0.5 * cross(a, b);
                    if (!covers(beyond, here[i].first) || !covers(beyond, here[j].first))
                        sum.perimeter += (b - a).length();
                }
        }
        std::vector<ParcelOverlap> list;
        for (const auto& [pair, sum] : sums)
            list.push_back({pair.first, pair.second, sum.area, 2 * sum.area / sum.perimeter});
        return list;
    }

    const std::vector<ParcelClaim>& claims_;
    std::vector<LatticeSegment> lines_;
    std::vector<std::size_t> first_claim_;
    std::vector<Number> order_; ///< half-lines about their origins
    Joined rims_{0};
    Joined figures_{0};
    std::vector<Cover> cover_; ///< by rim
    std::vector<bool> known_;
    std::vector<std::vector<Number>> lines_of_rim_;
};

} // namespace

ParcelFaces faces_of(const std::vector<ParcelClaim>& claims)
{
    return claims.empty() ? ParcelFaces{} : Faces{claims}.find();
}

} // namespace fuelring
