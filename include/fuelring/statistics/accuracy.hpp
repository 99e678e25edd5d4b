// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <fuelring/export.hpp>

#include <cstddef>
#include <cstdint>
#include <optional>
#include <span>
#include <string>
#include <vector>

namespace fuelring {

/// Two-sided 95 % quantile of the standard normal distribution. Published tables often use 1.96.
inline constexpr double z_95 = 1.959964;

/// The most points of a class pair in a matrix, and of a planned sample.
inline constexpr std::int64_t most_points = 1'000'000'000;

/// How often points of the reference fell on which class of the map: rows are what the map says,
/// columns what the reference says, both in the order of `classes`. Row i holds the points that
/// were drawn at random within map class i; the map classes are the strata.
struct FUELRING_EXPORT ConfusionMatrix {
    std::vector<std::string> classes;
    std::vector<std::int64_t> counts; ///< row by row: counts[map * size() + reference]

    std::size_t size() const { return classes.size(); }
    /// Throws: std::out_of_range for a class that the matrix lacks.
    std::int64_t at(std::size_t map, std::size_t reference) const;
    /// Reference points in a map class: the sum of its row. Throws: as `at`.
    std::int64_t points(std::size_t map) const;

    /// Throws: Error{input} unless it is square, classes have names that differ, counts lie
    /// between 0 and 1e9, and not all of them are 0.
    void require_valid() const;
};

/// What a map says of one class: hectares, or any one unit.
struct MappedClass {
    std::string name;
    double area = 0;
};

/// Mapped areas in the order of the matrix's classes; a class that is not mapped has 0.
/// Throws: Error{input} for a mapped class that the matrix lacks (unless its area is 0), a name
/// that appears twice, or an area that is negative or not finite.
FUELRING_EXPORT std::vector<double> areas_in_order(const ConfusionMatrix& matrix,
                                                   const std::vector<MappedClass>& mapped);

/// An estimate from a sample with its standard error.
struct Estimate {
    double value = 0;
    /// Empty where a class that covers ground has one reference point: one point says nothing of
    /// how points differ. 0 where all points of each class agree: the sample saw no error, which
    /// is not the same as certainty.
    std::optional<double> se;

    /// The 95 % interval is value -+ half_width(), by the normal approximation: for rare classes
    /// and few points its ends may lie below 0 or above 1.
    std::optional<double> half_width(double z = z_95) const
    {
        return se ? std::optional{z * *se} : std::nullopt;
    }
};

struct ClassAccuracy {
    /// Share of the ground mapped as this class that is this class (equations 2 and 6); empty
    /// where the class has no points.
    std::optional<Estimate> users;
    /// Share of the ground of this class that is mapped as it (equations 3 and 7); empty where the
    /// reference found none of it on mapped ground.
    std::optional<Estimate> producers;
    Estimate area_share; ///< of the ground, by the reference (equations 9 and 10)
    Estimate area;       ///< area_share times the total mapped area, in its unit
};

struct Accuracy {
    std::vector<ClassAccuracy> classes; ///< in the order of the matrix
    Estimate overall;                   ///< share of the ground mapped right (equations 1 and 5)
    double total_area = 0;              ///< sum of the mapped areas
};

/// Accuracy of a map and the areas of its classes, adjusted for its errors.
/// Shape:  mapped_area[i] is the area mapped as matrix.classes[i], 0 or more, in any one unit.
///         Ground that no class covers is no part of it.
/// Law:    the adjusted areas sum to the total mapped area, within 1e-14 of it.
/// Needs:  points drawn at random within each map class. Points drawn over a wider area than
///         `mapped_area` speaks of are good only if the map errs alike in both.
/// Throws: Error{input} for an invalid matrix, areas that are negative, not finite or all 0, and a
///         class that covers ground but has no points: nothing is known of its share.
/// Source: Olofsson et al. 2014, Remote Sensing of Environment 148:42-57,
///         doi:10.1016/j.rse.2014.02.015, whose equations are cited above.
FUELRING_EXPORT Accuracy assess(const ConfusionMatrix& matrix, std::span<const double> mapped_area);

/// Area of a mixture: the sum over reference classes of weight[j] times the adjusted area of j.
/// With 1 for the classes of a group and 0 for others it is the area of the group; with the
/// conifer share of each class it is the conifer area. Errors of classes are not independent, so
/// its standard error does not follow from those of `assess`.
/// Shape:  weight[j] belongs to matrix.classes[j]. Throws: as `assess`, and Error{input} for
///         weights that are not finite, or too
///         large for a finite area.
/// Source: the stratified mean (Cochran, Sampling Techniques, 1977, chapter 5; chapter from
///         memory); with weights 0 and 1 its variance is equation 10.
FUELRING_EXPORT Estimate weighted_area(const ConfusionMatrix& matrix,
                                       std::span<const double> mapped_area,
                                       std::span<const double> weight);

} // namespace fuelring
