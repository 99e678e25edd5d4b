// SPDX-License-Identifier: Apache-2.0

// Sums over squares, by rows and then by columns. A running sum would be quicker for wide squares,
// but its last bits depend on where it began: here every square is summed for itself, always from
// its first row and column on. Rows are summed when they come and kept while squares need them, so
// that all but the result stays in the processor's nearest cache.
#include "imagery/planes.hpp"

#include <algorithm>
#include <cmath>
#include <limits>

namespace fuelring {

namespace {

constexpr float unknown = std::numeric_limits<float>::quiet_NaN();
constexpr float lowest = std::numeric_limits<float>::lowest();

using Row = std::vector<float>;

std::size_t at(int k)
{
    return static_cast<std::size_t>(k);
}

/// into[c] = combine of from[c] to from[c + 2 radius], in this order.
template <typename Combine>
void along(const Row& from, int radius, Row& into, const Combine& combine)
{
    std::copy_n(from.begin(), into.size(), into.begin());
    for (int step = 1; step <= 2 * radius; ++step) {
        const float* const next = from.data() + step;
        float* const to = into.data();
        for (std::size_t c = 0; c < into.size(); ++c)
            to[c] = combine(to[c], next[c]);
    }
}

float sum_of(float a, float b)
{
    return a + b;
}
float larger_of(float a, float b)
{
    return a > b ? a : b;
}

/// Rows of squares, as they come in.
class RowSums {
public:
    /// `rest`: what stands for cells that are unknown, or outside the window.
    RowSums(const Squares& squares, float rest, bool with_squares)
        : s_{squares}, inner_{squares.size.inside(squares.margin)}, rest_{rest},
          with_squares_{with_squares}, row_(at(squares.size.cols)),
          padded_(at(inner_.cols + 2 * squares.radius), rest), ring_(at(2 * squares.radius + 1))
    {
        std::ranges::fill(row_, 1.0F);
        across_.resize(at(inner_.cols));
        pad(0);
        along(padded_, s_.radius, across_, sum_of);
    }

    /// What rows of squares hold, from the first row of the result on. `act(row)` may ask for the
    /// columns' sums.
    template <typename Act>
    void for_each_row(const FillRow& fill, const Act& act)
    {
        int filled = std::max(0, s_.margin - s_.radius);
        for (int row = 0; row < inner_.rows; ++row) {
            const int middle = row + s_.margin;
            first_ = std::max(0, middle - s_.radius);
            last_ = std::min(s_.size.rows - 1, middle + s_.radius);
            for (; filled <= last_; ++filled)
                take(filled, fill);
            act(at(row) * at(inner_.cols));
        }
    }

    template <typename Combine>
    const Row& values(const Combine& combine)
    {
        return down([](const Kept& kept) -> const Row& { return kept.values; }, combine, values_);
    }
    const Row& squares()
    {
        return down([](const Kept& kept) -> const Row& { return kept.squares; }, sum_of, squares_);
    }
    /// How many cells are known.
    const Row& counts()
    {
        return down(
            [this](const Kept& kept) -> const Row& { return kept.whole ? across_ : kept.counts; },
            sum_of, counts_);
    }

private:
    /// Sums of 2 radius + 1 neighbours along one row of the window, by column of the result.
    struct Kept {
        bool whole = true; ///< all cells are known: counts are those of any such row
        Row values, squares, counts;
    };

    Kept& kept(int row) { return ring_[at(row) % ring_.size()]; }

    /// Sets padded_ to the part of row_ that the result looks at.
    void pad(float rest)
    {
        const int shift = s_.margin - s_.radius; // of padded_ within the window
        const int from = std::max(0, shift);
        const int to = std::min(s_.size.cols, shift + static_cast<int>(padded_.size()));
        std::ranges::fill(padded_, rest);
        std::copy(row_.begin() + from, row_.begin() + to, padded_.begin() + (from - shift));
    }

    void take(int row, const FillRow& fill)
    {
        fill(row, row_.data());
        Kept& into = kept(row);
        int missing = 0;
        for (const float v : row_)
            missing += std::isnan(v) ? 1 : 0;
        into.whole = missing == 0;
        if (!into.whole)
            take_counts(into);
        into.values.resize(at(inner_.cols));
        pad(rest_);
        if (rest_ == 0)
            along(padded_, s_.radius, into.values, sum_of);
        else
            along(padded_, s_.radius, into.values, larger_of);
        if (!with_squares_)
            return;
        into.squares.resize(at(inner_.cols));
        for (float& v : padded_)
            v *= v;
        along(padded_, s_.radius, into.squares, sum_of);
    }

    /// And puts `rest` in the place of what is unknown.
    void take_counts(Kept& into)
    {
        known_ = row_;
        for (std::size_t c = 0; c < row_.size(); ++c) {
            const bool is_known = !std::isnan(known_[c]);
            row_[c] = is_known ? 1.0F : 0.0F;
            known_[c] = is_known ? known_[c] : rest_;
        }
        into.counts.resize(at(inner_.cols));
        pad(0);
        along(padded_, s_.radius, into.counts, sum_of);
        std::swap(row_, known_);
    }

    template <typename Of, typename Combine>
    const Row& down(const Of& of, const Combine& combine, Row& into)
    {
        into = of(kept(first_));
        for (int row = first_ + 1; row <= last_; ++row) {
            const float* const next = of(kept(row)).data();
            float* const to = into.data();
            for (std::size_t c = 0; c < into.size(); ++c)
                to[c] = combine(to[c], next[c]);
        }
        return into;
    }

    Squares s_;
    WindowSize inner_;
    float rest_;
    bool with_squares_;
    int first_ = 0, last_ = 0; ///< rows of the square at work
    Row row_, known_, padded_;
    Row across_; ///< known cells along a row without unknown ones
    std::vector<Kept> ring_;
    Row values_, squares_, counts_;
};

void divide(const Row& sums, const Row& counts, float* into)
{
    for (std::size_t c = 0; c < sums.size(); ++c)
        into[c] = counts[c] > 0 ? sums[c] / counts[c] : unknown;
}

} // namespace

FillRow rows_of(const Plane& plane, WindowSize size)
{
    return [&plane, cols = at(size.cols)](int row, float* into) {
        std::copy_n(plane.data() + at(row) * cols, cols, into);
    };
}

void Squares::mean(const FillRow& fill, Plane& mean) const
{
    mean.resize(size.inside(margin).cells());
    RowSums sums{*this, 0, false};
    sums.for_each_row(fill, [&](std::size_t to) {
        divide(sums.values(sum_of), sums.counts(), mean.data() + to);
    });
}

void Squares::mean_and_deviation(const FillRow& fill, Plane& mean, Plane& deviation) const
{
    mean.resize(size.inside(margin).cells());
    deviation.resize(mean.size());
    RowSums sums{*this, 0, true};
    sums.for_each_row(fill, [&](std::size_t to) {
        const Row& counts = sums.counts();
        float* const m = mean.data() + to;
        float* const d = deviation.data() + to;
        divide(sums.values(sum_of), counts, m);
        divide(sums.squares(), counts, d);
        for (std::size_t c = 0; c < counts.size(); ++c)
            d[c] = std::sqrt(std::max(d[c] - m[c] * m[c], 0.0F));
    });
}

void Squares::largest(const FillRow& fill, Plane& largest) const
{
    largest.resize(size.inside(margin).cells());
    RowSums rows{*this, lowest, false};
    rows.for_each_row(fill, [&](std::size_t to) {
        const Row& values = rows.values(larger_of);
        for (std::size_t c = 0; c < values.size(); ++c)
            largest[to + c] = values[c] == lowest ? unknown : values[c];
    });
}

} // namespace fuelring
