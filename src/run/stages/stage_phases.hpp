// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "base/program/progress.hpp"
#include "exposure/community.hpp"
#include "run/schedule/tiles.hpp"

#include <cstdint>
#include <string>

namespace fuelring {

/// Work of the phases of a run, for a structure (draws: for a structure and draw), in proportion to
/// the time they took on 200,000 structures.
namespace work_of {
inline constexpr std::int64_t measure = 4;
inline constexpr std::int64_t measure_treated = 6; ///< before and after
inline constexpr std::int64_t unite = 4;
inline constexpr std::int64_t draw = 1;
inline constexpr std::int64_t spread = 3;
inline constexpr std::int64_t write_row = 2; ///< of a layer, and of reading it again
inline constexpr std::int64_t choose = 20;   ///< what a plan treats
inline constexpr std::int64_t publish = 2;   ///< checksums, and what reaches the disk
} // namespace work_of

/// The sum over a run of `map`. `draws`: for each structure, 0 without uncertainty.
std::int64_t work_of_map(std::int64_t draws, const Community& community);
/// Of a treatment plan and what it does, without publishing it.
std::int64_t work_of_plan(const Community& community);
/// Of an appraisal, which measures, tries what clearing does, and divides the land.
std::int64_t work_of_appraisal(const Community& community);

/// A stage over the structures of `index`, each of so much work.
Phase of_structures(std::string doing, const TileIndex& index, std::int64_t work);
/// So many of all blocks of the surface.
Phase surface_phase(std::int64_t blocks, std::int64_t of, const Community& community);
/// What a plan treats.
Phase choosing(const Community& community);
/// The last phase of every command on a community.
Phase publishing(const Community& community);

} // namespace fuelring
