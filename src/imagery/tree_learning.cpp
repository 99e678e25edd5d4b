// SPDX-License-Identifier: Apache-2.0

// Learning by XGBoost, in its C interface. One thread: sums of gradients are then added in one
// order, and the model does not depend on the machine. The model comes out as the library's own
// JSON, whose numbers are those of memory to the last digit.
#include "base/closed_by.hpp"
#include "imagery/tree_model.hpp"

#include <fuelring/error.hpp>

#include <nlohmann/json.hpp>
#include <xgboost/c_api.h>

#include <cmath>
#include <limits>
#include <memory>
#include <numeric>
#include <string>

namespace fuelring {

namespace {

using nlohmann::json;

/// Chosen by trials with held-out plots on the data that src/manual/imagery.md names.
constexpr const char* parameters[][2] = {
    {"tree_method", "hist"},
    {"min_child_weight", "5"},
    {"colsample_bynode", "0.5"},
    {"subsample", "0.5"},
    {"seed", "1"},
    {"nthread", "1"},
    {"verbosity", "0"},
};

/// More classes have a tree each in every round: half as many rounds, of twice the step, tell the
/// sample's photograph as well, in half the time.
struct Pace {
    int rounds;
    const char* step;
};
constexpr Pace pace_of(std::size_t class_count)
{
    return class_count == 2 ? Pace{120, "0.1"} : Pace{60, "0.2"};
}

void require(int result)
{
    if (result != 0)
        throw Error{Failure::input,
                    std::string{"the classifier could not be trained: "} + XGBGetLastError()};
}

struct FreeMatrix {
    void operator()(void* handle) const noexcept { XGDMatrixFree(handle); }
};
struct FreeBooster {
    void operator()(void* handle) const noexcept { XGBoosterFree(handle); }
};
using MatrixPtr = std::unique_ptr<void, FreeMatrix>;
using BoosterPtr = std::unique_ptr<void, FreeBooster>;

MatrixPtr matrix_of(const ClassedCells& cells)
{
    DMatrixHandle handle = nullptr;
    require(XGDMatrixCreateFromMat(cells.values.data(), cells.size(), cells.features,
                                   std::numeric_limits<float>::quiet_NaN(), &handle));
    MatrixPtr matrix{handle};
    const std::vector<float> labels(cells.classes.begin(), cells.classes.end());
    require(XGDMatrixSetFloatInfo(handle, "label", labels.data(), labels.size()));
    require(XGDMatrixSetFloatInfo(handle, "weight", cells.weights.data(), cells.weights.size()));
    return matrix;
}

BoosterPtr learn(const ClassedCells& cells, std::size_t class_count)
{
    const MatrixPtr matrix = matrix_of(cells);
    DMatrixHandle handles[] = {matrix.get()};
    BoosterHandle handle = nullptr;
    require(XGBoosterCreate(handles, 1, &handle));
    BoosterPtr booster{handle};
    const auto set = [handle](const char* name, const std::string& value) {
        require(XGBoosterSetParam(handle, name, value.c_str()));
    };
    for (const auto& [name, value] : parameters)
        set(name, value);
    const Pace pace = pace_of(class_count);
    set("eta", pace.step);
    set("max_depth", std::to_string(TreeModel::depth));
    set("objective", class_count == 2 ? "binary:logistic" : "multi:softprob");
    if (class_count > 2)
        set("num_class", std::to_string(class_count));
    for (int round = 0; round < pace.rounds; ++round)
        require(XGBoosterUpdateOneIter(handle, round, matrix.get()));
    return booster;
}

json json_of(BoosterHandle booster)
{
    bst_ulong size = 0;
    const char* text = nullptr;
    require(XGBoosterSaveModelToBuffer(booster, R"({"format": "json"})", &size, &text));
    return json::parse(text, text + size).at("learner");
}

/// A number that the library may write as a text.
double number_of(const json& value)
{
    return value.is_string() ? std::stod(value.get<std::string>()) : value.get<double>();
}

} // namespace

/// Trees of the library's JSON, filled up to one depth.
class TreeReader {
public:
    TreeReader(const json& learner, std::size_t class_count, std::size_t features)
    {
        model_.class_count_ = class_count;
        model_.importance_.assign(features, 0);
        const double base = number_of(learner.at("learner_model_param").at("base_score"));
        const bool two = class_count == 2;
        model_.base_.assign(class_count,
                            static_cast<float>(two ? std::log(base / (1 - base)) : base));
        const json& model = learner.at("gradient_booster").at("model");
        const json& classes = model.at("tree_info");
        for (std::size_t k = 0; k < model.at("trees").size(); ++k) {
            tree_ = {};
            tree_.class_index = two ? 1 : classes.at(k).get<std::uint16_t>();
            source_ = &model.at("trees").at(k);
            fill(0, 0);
            model_.trees_.push_back(tree_);
        }
        const double sum =
            std::accumulate(model_.importance_.begin(), model_.importance_.end(), 0.0);
        for (double& share : model_.importance_)
            share /= sum > 0 ? sum : 1;
    }
    TreeModel model_;

private:
    /// `from`: node of the library's tree; `node`: ours. A leaf above the lowest level is carried
    /// down on the left: nothing is not below infinity.
    void fill(std::size_t from, std::size_t node)
    {
        const int left = source_->at("left_children").at(from).get<int>();
        const auto value = source_->at("split_conditions").at(from).get<float>();
        if (node >= TreeModel::splits) {
            tree_.leaf[node - TreeModel::splits] = value;
            return;
        }
        if (left < 0) {
            tree_.threshold[node] = std::numeric_limits<float>::infinity();
            fill(from, 2 * node + 1);
            return;
        }
        const auto feature = source_->at("split_indices").at(from).get<std::uint16_t>();
        tree_.threshold[node] = value;
        tree_.feature[node] = feature;
        model_.importance_[feature] += source_->at("loss_changes").at(from).get<double>();
        fill(static_cast<std::size_t>(left), 2 * node + 1);
        fill(source_->at("right_children").at(from).get<std::size_t>(), 2 * node + 2);
    }

    TreeModel::Tree tree_{};
    const json* source_ = nullptr;
};

TreeModel TreeModel::learned(const ClassedCells& cells, std::size_t class_count)
{
    const BoosterPtr booster = learn(cells, class_count);
    TreeReader reader{json_of(booster.get()), class_count, cells.features};
    return std::move(reader.model_);
}

} // namespace fuelring
