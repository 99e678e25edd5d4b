// SPDX-License-Identifier: Apache-2.0

// Each node of the table owns its children's structures and its buffers. A child that was moved out
// has no release function any more and is left alone, as the interface asks.
#include "batch/arrow_table.hpp"

#include <cmath>
#include <memory>

namespace fuelring::batch {

namespace {

/// What an array owns; `children` are released with it unless they were moved out.
struct ArrayNode {
    std::vector<std::uint8_t> validity;
    std::vector<double> numbers;
    std::vector<std::int32_t> offsets;
    std::string text;
    std::vector<const void*> buffers;
    std::vector<std::unique_ptr<ArrowArray>> children;
    std::vector<ArrowArray*> places;
};

struct SchemaNode {
    std::string format;
    std::string name;
    std::vector<std::unique_ptr<ArrowSchema>> children;
    std::vector<ArrowSchema*> places;
};

template <typename Structure, typename Node>
void release_node(Structure* structure)
{
    const std::unique_ptr<Node> node{static_cast<Node*>(structure->private_data)};
    for (const auto& child : node->children)
        if (child->release)
            child->release(child.get());
    structure->release = nullptr;
}

void release_array(ArrowArray* array)
{
    release_node<ArrowArray, ArrayNode>(array);
}

void release_schema(ArrowSchema* schema)
{
    release_node<ArrowSchema, SchemaNode>(schema);
}

/// Releases what is not handed over.
template <typename Structure>
struct Released {
    void operator()(Structure* s) const
    {
        if (s->release)
            s->release(s);
        delete s; // NOLINT: a deleter
    }
};
using ArrayPtr = std::unique_ptr<ArrowArray, Released<ArrowArray>>;
using SchemaPtr = std::unique_ptr<ArrowSchema, Released<ArrowSchema>>;

ArrayPtr array_of(std::unique_ptr<ArrayNode> node, std::size_t length, std::int64_t nulls,
                  std::vector<ArrayPtr> children = {})
{
    node->children.reserve(children.size());
    node->places.reserve(children.size());
    for (ArrayPtr& child : children) {
        node->places.push_back(child.get());
        node->children.emplace_back(child.release());
    }
    ArrayPtr array{new ArrowArray{}};
    array->length = static_cast<std::int64_t>(length);
    array->null_count = nulls;
    array->n_buffers = static_cast<std::int64_t>(node->buffers.size());
    array->buffers = node->buffers.data();
    array->n_children = static_cast<std::int64_t>(node->places.size());
    array->children = node->places.empty() ? nullptr : node->places.data();
    array->release = release_array;
    array->private_data = node.release();
    return array;
}

SchemaPtr schema_of(std::string format, std::string name, std::int64_t flags,
                    std::vector<SchemaPtr> children = {})
{
    auto node =
        std::make_unique<SchemaNode>(SchemaNode{std::move(format), std::move(name), {}, {}});
    node->children.reserve(children.size());
    node->places.reserve(children.size());
    for (SchemaPtr& child : children) {
        node->places.push_back(child.get());
        node->children.emplace_back(child.release());
    }
    SchemaPtr schema{new ArrowSchema{}};
    schema->format = node->format.c_str();
    schema->name = node->name.c_str();
    schema->flags = flags;
    schema->n_children = static_cast<std::int64_t>(node->places.size());
    schema->children = node->places.empty() ? nullptr : node->places.data();
    schema->release = release_schema;
    schema->private_data = node.release();
    return schema;
}

ArrayPtr array_of_numbers(std::vector<double> numbers)
{
    auto node = std::make_unique<ArrayNode>();
    node->validity.assign((numbers.size() + 7) / 8, 0);
    std::int64_t nulls = 0;
    for (std::size_t k = 0; k < numbers.size(); ++k)
        if (std::isnan(numbers[k]))
            ++nulls;
        else
            node->validity[k / 8] = static_cast<std::uint8_t>(node->validity[k / 8] | 1U << k % 8);
    const std::size_t length = numbers.size();
    node->numbers = std::move(numbers);
    node->buffers = {nulls > 0 ? node->validity.data() : nullptr, node->numbers.data()};
    return array_of(std::move(node), length, nulls);
}

ArrayPtr array_of_texts(const std::vector<std::string>& texts)
{
    auto node = std::make_unique<ArrayNode>();
    node->offsets.push_back(0);
    for (const std::string& text : texts) {
        node->text += text;
        node->offsets.push_back(static_cast<std::int32_t>(node->text.size()));
    }
    node->buffers = {nullptr, node->offsets.data(), node->text.data()};
    return array_of(std::move(node), texts.size(), 0);
}

ArrayPtr array_of_column(ArrowColumn& column, std::size_t rows)
{
    if (column.is_text)
        return array_of_texts(column.texts);
    ArrayPtr numbers = array_of_numbers(std::move(column.numbers));
    if (column.a_row == 0)
        return numbers;
    auto node = std::make_unique<ArrayNode>();
    node->buffers = {nullptr};
    std::vector<ArrayPtr> children;
    children.push_back(std::move(numbers));
    return array_of(std::move(node), rows, 0, std::move(children));
}

SchemaPtr schema_of_column(const ArrowColumn& column)
{
    if (column.is_text)
        return schema_of("u", column.name, 0);
    if (column.a_row == 0)
        return schema_of("g", column.name, ARROW_FLAG_NULLABLE);
    std::vector<SchemaPtr> children;
    children.push_back(schema_of("g", "item", ARROW_FLAG_NULLABLE));
    return schema_of("+w:" + std::to_string(column.a_row), column.name, 0, std::move(children));
}

} // namespace

void hand_over(std::vector<ArrowColumn> columns, std::size_t rows, ArrowSchema& schema,
               ArrowArray& array)
{
    std::vector<SchemaPtr> schemas;
    std::vector<ArrayPtr> arrays;
    for (ArrowColumn& column : columns) {
        schemas.push_back(schema_of_column(column));
        arrays.push_back(array_of_column(column, rows));
    }
    SchemaPtr whole_schema = schema_of("+s", "", 0, std::move(schemas));
    auto node = std::make_unique<ArrayNode>();
    node->buffers = {nullptr};
    ArrayPtr whole = array_of(std::move(node), rows, 0, std::move(arrays));
    schema = *whole_schema;
    array = *whole;
    whole_schema->release = nullptr; // moved, as the interface does it
    whole->release = nullptr;
}

} // namespace fuelring::batch
