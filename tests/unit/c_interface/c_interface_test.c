/* SPDX-License-Identifier: Apache-2.0
 *
 * A house of 10 x 10 m in the middle of a raster of conifers, called from C. Expected areas are
 * closed forms: within r of a square of side a lie a^2 + 4 a r + pi r^2 (Steiner).
 */
#include <fuelring/fuelring.h>

#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static int failures = 0;

#define CHECK(condition)                                                                           \
    do {                                                                                           \
        if (!(condition)) {                                                                        \
            fprintf(stderr, "%s:%d: %s\n", __FILE__, __LINE__, #condition);                        \
            ++failures;                                                                            \
        }                                                                                          \
    } while (0)

enum { side = 400 };
static const double pi = 3.14159265358979323846;

static uint8_t cells[side * side];
static const double corners_x[] = {195, 205, 205, 195, 195, 0, 0};
static const double corners_y[] = {195, 195, 205, 205, 195, 0, 0};
static const int32_t ring_offsets[] = {0, 5, 5};
static const int64_t polygon_offsets[] = {0, 1, 1}; /* the second feature is null */

static fuelring_classes *table(void)
{
    const fuelring_class rows[] = {{41, "conifer", 1}, {43, "mixed", 0.5}, {71, "grass", 0}};
    fuelring_classes *classes = NULL;
    CHECK(fuelring_classes_of(rows, 3, &classes, NULL) == FUELRING_OK);
    return classes;
}

static fuelring_request request_of(const fuelring_classes *classes)
{
    static const double geotransform[6] = {0, 1, 0, side, 0, -1};
    fuelring_request request = fuelring_request_default();
    request.footprints.rings = (fuelring_offsets){ring_offsets, 2, 32};
    request.footprints.polygons = (fuelring_offsets){polygon_offsets, 3, 64};
    request.footprints.x = corners_x;
    request.footprints.y = corners_y;
    request.footprints.coordinates = 5;
    request.raster.data = cells;
    request.raster.type = FUELRING_UINT8;
    request.raster.row_stride = side;
    request.raster.col_stride = 1;
    request.raster.cols = side;
    request.raster.rows = side;
    memcpy(request.raster.geotransform, geotransform, sizeof geotransform);
    request.classes = classes;
    return request;
}

static const struct ArrowArray *column(const struct ArrowSchema *schema,
                                       const struct ArrowArray *array, const char *name)
{
    for (int64_t k = 0; k < schema->n_children; ++k)
        if (strcmp(schema->children[k]->name, name) == 0)
            return array->children[k];
    fprintf(stderr, "no column %s\n", name);
    exit(1);
}

static double number(const struct ArrowArray *array, int64_t row)
{
    return ((const double *)array->buffers[1])[row];
}

static int is_null(const struct ArrowArray *array, int64_t row)
{
    const uint8_t *valid = array->buffers[0];
    return valid && !((valid[row / 8] >> (row % 8)) & 1);
}

static void check_near(double value, double expected)
{
    if (!(fabs(value - expected) <= 1e-9 * fabs(expected))) {
        fprintf(stderr, "%.17g instead of %.17g\n", value, expected);
        ++failures;
    }
}

static void test_closed_forms(void)
{
    fuelring_classes *classes = table();
    const fuelring_request request = request_of(classes);
    struct ArrowSchema schema;
    struct ArrowArray array;
    fuelring_error *error = NULL;
    memset(cells, 41, sizeof cells);
    CHECK(fuelring_measure(&request, &schema, &array, &error) == FUELRING_OK);
    CHECK(error == NULL);
    CHECK(strcmp(schema.format, "+s") == 0);
    CHECK(array.length == 2 && schema.n_children == 11 && array.n_children == 11);
    const struct ArrowArray *exposure = column(&schema, &array, "exposure");
    check_near(number(exposure, 0), 100);
    CHECK(!is_null(exposure, 0) && is_null(exposure, 1) && exposure->null_count == 1);
    check_near(number(column(&schema, &array, "footprint_m2"), 0), 100);
    const struct ArrowArray *ring = column(&schema, &array, "ring_m2");
    CHECK(strcmp(schema.children[5]->format, "+w:4") == 0);
    CHECK(ring->length == 2 && ring->children[0]->length == 8);
    const double outer[] = {0, 1.5, 10, 30, 100};
    for (int k = 0; k < 4; ++k)
        check_near(number(ring->children[0], k),
                   40 * (outer[k + 1] - outer[k]) +
                       pi * (outer[k + 1] * outer[k + 1] - outer[k] * outer[k]));
    CHECK(is_null(ring->children[0], 4) && ring->children[0]->null_count == 4);
    const struct ArrowArray *status = column(&schema, &array, "status");
    const int32_t *offsets = status->buffers[1];
    CHECK(offsets[2] == 7 && memcmp(status->buffers[2], "okempty", 7) == 0);
    schema.release(&schema);
    array.release(&array);
    CHECK(schema.release == NULL && array.release == NULL);
    fuelring_classes_free(classes);
}

/* A column may outlive its table: the interface lets a child be moved out. */
static void test_moved_child(void)
{
    fuelring_classes *classes = table();
    const fuelring_request request = request_of(classes);
    struct ArrowSchema schema;
    struct ArrowArray array;
    memset(cells, 43, sizeof cells);
    CHECK(fuelring_measure(&request, &schema, &array, NULL) == FUELRING_OK);
    struct ArrowArray moved = *array.children[1];
    array.children[1]->release = NULL;
    array.release(&array);
    schema.release(&schema);
    check_near(number(&moved, 0), 50);
    moved.release(&moved);
    fuelring_classes_free(classes);
}

static void test_shares(void)
{
    static float fractions[side * side];
    for (int k = 0; k < side * side; ++k)
        fractions[k] = 0.25F;
    fuelring_classes *shares = NULL;
    CHECK(fuelring_classes_of_shares(1, &shares, NULL) == FUELRING_OK);
    fuelring_request request = request_of(shares);
    request.raster.data = fractions;
    request.raster.type = FUELRING_FLOAT32;
    request.raster.row_stride = side * (ptrdiff_t)sizeof(float);
    request.raster.col_stride = sizeof(float);
    struct ArrowSchema schema;
    struct ArrowArray array;
    CHECK(fuelring_measure(&request, &schema, &array, NULL) == FUELRING_OK);
    check_near(number(column(&schema, &array, "exposure"), 0), 25);
    CHECK(is_null(column(&schema, &array, "other_burnable_frac")->children[0], 0));
    array.release(&array);
    schema.release(&schema);

    fractions[200 * side + 190] = 25; /* per cent among fractions */
    fuelring_error *error = NULL;
    CHECK(fuelring_measure(&request, &schema, &array, &error) == FUELRING_INPUT);
    CHECK(strstr(fuelring_error_text(error), "no share: 25") != NULL);
    CHECK(schema.release == NULL && array.release == NULL);
    fuelring_error_free(error);
    fuelring_classes_free(shares);
}

static void test_priority(void)
{
    fuelring_classes *classes = table();
    const fuelring_request request = request_of(classes);
    static float surface[side * side];
    double sum = 0;
    memset(cells, 41, sizeof cells);
    CHECK(fuelring_priority(&request, surface, side, &sum, NULL) == FUELRING_OK);
    check_near(sum, 100);
    CHECK(isnan(surface[0]));
    CHECK(surface[200 * side + 190] > 0);
    fuelring_classes_free(classes);
}

/* The same house as well-known binary: the same bits. */
static void test_wkb(void)
{
    uint8_t wkb[13 + 5 * 16];
    const uint32_t head[] = {3, 1, 5}; /* polygon, one ring, five points */
    wkb[0] = 1;
    memcpy(wkb + 1, head, sizeof head);
    for (size_t k = 0; k < 5; ++k) {
        memcpy(wkb + 13 + 16 * k, &corners_x[k], 8);
        memcpy(wkb + 21 + 16 * k, &corners_y[k], 8);
    }
    const int32_t offsets[] = {0, (int32_t)sizeof wkb};
    fuelring_classes *classes = table();
    fuelring_request request = request_of(classes);
    struct ArrowSchema schema[2];
    struct ArrowArray array[2];
    for (int k = 0; k < side * side; ++k)
        cells[k] = k % 3 ? 41 : 71;
    CHECK(fuelring_measure(&request, &schema[0], &array[0], NULL) == FUELRING_OK);
    request.footprints = fuelring_request_default().footprints;
    request.footprints.wkb = wkb;
    request.footprints.wkb_offsets = (fuelring_offsets){offsets, 2, 32};
    CHECK(fuelring_measure(&request, &schema[1], &array[1], NULL) == FUELRING_OK);
    const double of_layout = number(column(&schema[0], &array[0], "exposure"), 0);
    const double of_wkb = number(column(&schema[1], &array[1], "exposure"), 0);
    CHECK(memcmp(&of_layout, &of_wkb, sizeof of_wkb) == 0);
    for (int k = 0; k < 2; ++k) {
        array[k].release(&array[k]);
        schema[k].release(&schema[k]);
    }
    fuelring_classes_free(classes);
}

static int stop_at_once(size_t done, size_t all, void *user)
{
    ++*(int *)user;
    return done <= all;
}

static void expect(const fuelring_request *request, int code, const char *text)
{
    struct ArrowSchema schema;
    struct ArrowArray array;
    fuelring_error *error = NULL;
    const int got = fuelring_measure(request, &schema, &array, &error);
    if (got != code || strstr(fuelring_error_text(error), text) == NULL) {
        fprintf(stderr, "code %d: %s; expected %d: %s\n", got, fuelring_error_text(error), code,
                text);
        ++failures;
    }
    CHECK(schema.release == NULL && array.release == NULL);
    fuelring_error_free(error);
}

static void test_errors(void)
{
    fuelring_classes *classes = table();
    const fuelring_request good = request_of(classes);
    memset(cells, 41, sizeof cells);

    expect(NULL, FUELRING_USAGE, "there is no request");
    fuelring_request bad = good;
    bad.size = 8;
    expect(&bad, FUELRING_USAGE, "request.size");
    bad = good;
    bad.classes = NULL;
    expect(&bad, FUELRING_USAGE, "no class table");
    bad = good;
    bad.raster.type = 9;
    expect(&bad, FUELRING_USAGE, "no type of cells");
    bad = good;
    bad.raster.geotransform[1] = 0;
    expect(&bad, FUELRING_INPUT, "cell");
    bad = good;
    bad.footprints.rings.bits = 16;
    expect(&bad, FUELRING_USAGE, "32 or 64 bits");
    bad = good;
    bad.footprints.coordinates = 4; /* the ring has five */
    expect(&bad, FUELRING_USAGE, "offsets of rings");
    bad = good;
    const double falling[] = {10, 5};
    bad.outer_m = falling;
    bad.weight = falling;
    bad.rings = 2;
    expect(&bad, FUELRING_USAGE, "");
    bad = good;
    int calls = 0;
    bad.progress = stop_at_once;
    bad.user = &calls;
    bad.jobs = 1;
    expect(&bad, FUELRING_INTERRUPTED, "stopped");
    CHECK(calls >= 1);
    cells[200 * side + 190] = 99;
    expect(&good, FUELRING_INPUT, "99");
    bad = good;
    bad.unknown_codes_are_unmapped = 1;
    struct ArrowSchema schema;
    struct ArrowArray array;
    CHECK(fuelring_measure(&bad, &schema, &array, NULL) == FUELRING_OK);
    array.release(&array);
    schema.release(&schema);
    fuelring_classes_free(classes);

    const fuelring_class wrong_group = {1, "wood", 1}, wrong_share = {1, "conifer", 1.5};
    classes = NULL;
    CHECK(fuelring_classes_of(&wrong_group, 1, &classes, NULL) == FUELRING_USAGE);
    CHECK(fuelring_classes_of(&wrong_share, 1, &classes, NULL) == FUELRING_USAGE);
    CHECK(fuelring_classes_read("/nowhere/classes.csv", &classes, NULL) != FUELRING_OK);
    CHECK(classes == NULL);
    CHECK(strlen(fuelring_version()) > 0);
    CHECK(strcmp(fuelring_error_text(NULL), "") == 0);
    fuelring_error_free(NULL);
    fuelring_classes_free(NULL);
}

int main(void)
{
    test_closed_forms();
    test_moved_child();
    test_shares();
    test_priority();
    test_wkb();
    test_errors();
    if (failures > 0)
        fprintf(stderr, "%d checks failed\n", failures);
    return failures > 0;
}
