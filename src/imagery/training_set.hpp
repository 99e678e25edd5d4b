// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "imagery/tree_model.hpp"

#include <fuelring/fuel_classes.hpp>

#include <cstddef>
#include <cstdint>
#include <string>
#include <vector>

namespace fuelring {

/// Trees are at least so high; what is lower in an area of trees is a gap between them, and is
/// not learned as tree. A planning default.
inline constexpr float least_tree_m = 2;

/// The share of conifers that a group stands for: conifer 1, mixed 0.5, else 0.
float conifer_share_of(FuelGroup group);
/// Conifer, mixed, broadleaved.
bool is_tree(FuelGroup group);

/// A place whose group is known: one polygon or point of the training layer.
struct TrainingArea {
    std::int64_t feature = 0; ///< its id in the file
    FuelGroup group = FuelGroup::unmapped;
    std::string block;  ///< what is held out together; empty: by place
    std::string date{}; ///< YYYY-MM-DD, of a visit; empty where nobody says
    double col = 0;     ///< of its middle, in cells of the grid
    double row = 0;
    std::int64_t cells = 0;      ///< that were used
    std::int64_t low_cells = 0;  ///< of trees, left out since nothing there is as high as a tree
    std::int64_t dark_cells = 0; ///< left out since an image does not show them
    /// A training area, a visit that is learned from, or one that is kept apart to measure.
    enum class Use : std::uint8_t { training, visit, control } use = Use::training;
};

/// Cells of all areas, with features and class.
struct TrainingSet {
    std::vector<FuelGroup> groups; ///< by class, in the order of FuelGroup
    std::vector<TrainingArea> areas;
    ClassedCells cells;
    std::vector<std::uint32_t> area_of; ///< by cell

    float share_of_class(std::size_t k) const { return conifer_share_of(groups[k]); }
    /// By cell: the share of conifers that its area tells.
    std::vector<float> true_shares() const;
};

/// The cells of areas of one use alone, their classes numbered without gaps; `classes`: of the set,
/// by class of the result.
ClassedCells cells_of_use(const TrainingSet& set, TrainingArea::Use use,
                          std::vector<std::size_t>& classes);

/// Gives each cell the weight 1 / sqrt(cells of its area), of mean 1: a wide area counts more than
/// a small one, but not as much more as it has cells, which resemble each other.
void weigh_by_area(TrainingSet& set);

/// By area, from 0 up: which areas are held out together. Areas of one block stay together; where
/// areas have no block, those of one square of the ground do, whose side is halved from a kilometre
/// on until there are ten squares, or is 50 m. More than `most` blocks share folds in turn.
/// Law: depends on blocks and places alone.
std::vector<std::size_t> folds_of(const std::vector<TrainingArea>& areas, double cell_m,
                                  std::size_t most);

} // namespace fuelring
