// SPDX-License-Identifier: Apache-2.0
#include "report/context.hpp"

#include "geometry/box_distance.hpp"

#include <algorithm>
#include <cmath>
#include <optional>
#include <utility>

namespace fuelring {

namespace {

using Line = std::vector<Point>;

Box box_of(const Line& line)
{
    Box box = Box::nothing();
    for (const Point p : line)
        box.take_in(p);
    return box;
}

/// The part of a segment in a box, as shares of it; empty where there is none.
std::optional<std::pair<double, double>> part_within(Point a, Point b, const Box& box)
{
    double from = 0;
    double to = 1;
    const Point d = b - a;
    const auto cut = [&](double step, double room) { // step t <= room
        if (step == 0)
            return room >= 0;
        const double t = room / step;
        if (step > 0)
            to = std::min(to, t);
        else
            from = std::max(from, t);
        return from <= to;
    };
    if (cut(d.x, box.max.x - a.x) && cut(-d.x, a.x - box.min.x) && cut(d.y, box.max.y - a.y) &&
        cut(-d.y, a.y - box.min.y))
        return std::pair{from, to};
    return std::nullopt;
}

void add_within(const Line& line, const Box& box, std::vector<Line>& parts)
{
    if (!box_of(line).meets(box))
        return;
    Line part;
    const auto finish = [&] {
        if (part.size() > 1)
            parts.push_back(std::move(part));
        part.clear();
    };
    for (std::size_t k = 0; k + 1 < line.size(); ++k) {
        const Point a = line[k];
        const Point d = line[k + 1] - a;
        const auto inside = part_within(a, line[k + 1], box);
        if (!inside || inside->first > 0)
            finish();
        if (!inside)
            continue;
        if (part.empty())
            part.push_back(a + inside->first * d);
        part.push_back(inside->second < 1 ? a + inside->second * d : line[k + 1]);
        if (inside->second < 1)
            finish();
    }
    finish();
}

/// A loop cut off along one side: the ground where room(p) >= 0.
template <typename Room>
Loop cut_off(const Loop& loop, Room&& room)
{
    Loop left;
    for (std::size_t k = 0; k < loop.size(); ++k) {
        const Point a = loop[k == 0 ? loop.size() - 1 : k - 1];
        const Point b = loop[k];
        const double from = room(a);
        const double to = room(b);
        if ((from < 0) != (to < 0))
            left.push_back(a + from / (from - to) * (b - a));
        if (to >= 0)
            left.push_back(b);
    }
    return left;
}

PictureShape area_within(const PictureShape& area, const Box& box)
{
    PictureShape shape;
    for (Loop loop : area) {
        if (!box_of(loop).meets(box))
            continue;
        loop = cut_off(loop, [&](Point p) { return p.x - box.min.x; });
        loop = cut_off(loop, [&](Point p) { return box.max.x - p.x; });
        loop = cut_off(loop, [&](Point p) { return p.y - box.min.y; });
        loop = cut_off(loop, [&](Point p) { return box.max.y - p.y; });
        if (loop.size() > 2)
            shape.push_back(std::move(loop));
    }
    return shape;
}

/// Ends stay.
Line with_less(const Line& line, double off)
{
    std::vector<char> kept(line.size(), 0);
    kept.front() = kept.back() = 1;
    std::vector<std::pair<std::size_t, std::size_t>> open{{0, line.size() - 1}};
    while (!open.empty()) {
        const auto [first, last] = open.back();
        open.pop_back();
        std::size_t furthest = first;
        double most = off * off;
        for (std::size_t k = first + 1; k < last; ++k)
            if (const double d = squared_distance(line[k], line[first], line[last]); d > most) {
                most = d;
                furthest = k;
            }
        if (furthest == first)
            continue;
        kept[furthest] = 1;
        open.emplace_back(first, furthest);
        open.emplace_back(furthest, last);
    }
    Line less;
    for (std::size_t k = 0; k < line.size(); ++k)
        if (kept[k])
            less.push_back(line[k]);
    return less;
}

bool is_seen(const Line& line, double off)
{
    const Point size = box_of(line).max - box_of(line).min;
    return std::max(size.x, size.y) >= off;
}

/// As a line that comes back to where it begins.
Loop loop_with_less(Loop loop, double off)
{
    loop.push_back(loop.front());
    loop = with_less(loop, off);
    loop.pop_back();
    return loop;
}

/// Calls change(layer) for each, and keeps those of which something is left.
template <typename Change>
Context changed(const Context& context, Change&& change)
{
    Context made{{}, context.credit};
    for (const ContextLayer& layer : context.layers)
        if (ContextLayer left = change(layer); !left.lines.empty() || !left.areas.empty())
            made.layers.push_back(std::move(left));
    return made;
}

} // namespace

std::size_t vertices_of(const Context& context)
{
    std::size_t sum = 0;
    for (const ContextLayer& layer : context.layers) {
        for (const Line& line : layer.lines)
            sum += line.size();
        for (const PictureShape& area : layer.areas)
            for (const Loop& loop : area)
                sum += loop.size();
    }
    return sum;
}

Context within(const Context& context, const Box& box)
{
    return changed(context, [&](const ContextLayer& layer) {
        ContextLayer left{layer.kind, {}, {}};
        for (const Line& line : layer.lines)
            add_within(line, box, left.lines);
        for (const PictureShape& area : layer.areas)
            if (PictureShape shape = area_within(area, box); !shape.empty())
                left.areas.push_back(std::move(shape));
        return left;
    });
}

Context generalised(const Context& context, double off)
{
    return changed(context, [&](const ContextLayer& layer) {
        ContextLayer left{layer.kind, {}, {}};
        for (const Line& line : layer.lines)
            if (is_seen(line, off))
                left.lines.push_back(with_less(line, off));
        for (const PictureShape& area : layer.areas) {
            PictureShape shape;
            for (const Loop& loop : area)
                if (is_seen(loop, off))
                    shape.push_back(loop_with_less(loop, off));
            if (!shape.empty())
                left.areas.push_back(std::move(shape));
        }
        return left;
    });
}

Context generalised_to(const Context& context, double off, std::size_t most)
{
    Context made = generalised(context, off);
    while (vertices_of(made) > most)
        made = generalised(context, off *= 2);
    return made;
}

} // namespace fuelring
