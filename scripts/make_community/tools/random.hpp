// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cstddef>
#include <cstdint>
#include <random>
#include <vector>

namespace community {

/// Random numbers that are the same on every platform: the engine is fixed by the C++ standard, the
/// distributions (which are not) are our own.
class Rng {
public:
    explicit Rng(std::uint64_t seed) : engine_(seed) {}

    /// At least 0, below 1.
    double unit() { return static_cast<double>(engine_() >> 11) * 0x1.0p-53; }
    double between(double low, double high) { return low + (high - low) * unit(); }
    /// 0 to count - 1.
    std::size_t below(std::size_t count)
    {
        return static_cast<std::size_t>(unit() * static_cast<double>(count));
    }
    bool chance(double probability) { return unit() < probability; }

private:
    std::mt19937_64 engine_;
};

/// Value noise on a lattice of unit pitch: 0 to 1, smooth, the same for the same arguments.
double noise(std::uint64_t seed, double x, double y);

/// Three octaves of noise, 0 to 1; the coarsest has unit pitch.
double fractal_noise(std::uint64_t seed, double x, double y);

/// noise() for a row of points: out[i] = noise(seed, x + i * step, y). Much faster than one by one
/// where the step is small against the lattice.
void noise_row(std::uint64_t seed, double x, double step, double y, std::vector<float>& out);

/// A well mixed seed for the part `index` of something that has the seed `seed`.
std::uint64_t mix(std::uint64_t seed, std::uint64_t index);

} // namespace community
