/* SPDX-License-Identifier: Apache-2.0
 *
 * The batch call for C, and for languages that call C (R, Julia, ...): footprints and a raster
 * that the caller holds go in, a table in the layout of the Arrow C data interface comes out.
 * C11 and C++. The manual has a page for callers: languages.md.
 *
 * Every function that can fail takes a `fuelring_error **`, which may be NULL. It returns
 * FUELRING_OK and leaves *error alone, or another code and puts an error there, which the caller
 * frees. There is no state between calls: any thread may call at any time.
 *
 * Counts conifers only. It gives no probability of ignition, and a low figure is not safe.
 */
#ifndef FUELRING_FUELRING_H
#define FUELRING_FUELRING_H

#include <fuelring/export.hpp>

#include <stddef.h>
#include <stdint.h>

#ifdef __cplusplus
extern "C" {
#endif

/* Source: the Arrow C data interface, structure definitions, which may be copied. */
#ifndef ARROW_C_DATA_INTERFACE
#define ARROW_C_DATA_INTERFACE

#define ARROW_FLAG_DICTIONARY_ORDERED 1
#define ARROW_FLAG_NULLABLE 2
#define ARROW_FLAG_MAP_KEYS_SORTED 4

struct ArrowSchema {
    const char *format;
    const char *name;
    const char *metadata;
    int64_t flags;
    int64_t n_children;
    struct ArrowSchema **children;
    struct ArrowSchema *dictionary;
    void (*release)(struct ArrowSchema *);
    void *private_data;
};

struct ArrowArray {
    int64_t length;
    int64_t null_count;
    int64_t offset;
    int64_t n_buffers;
    int64_t n_children;
    const void **buffers;
    struct ArrowArray **children;
    struct ArrowArray *dictionary;
    void (*release)(struct ArrowArray *);
    void *private_data;
};

#endif /* ARROW_C_DATA_INTERFACE */

/* What a function returns. */
enum {
    FUELRING_OK = 0,
    FUELRING_USAGE = 2,        /* an argument, a ring plan or a class table that does not do */
    FUELRING_INPUT = 3,        /* data that do not do, such as codes that the table lacks */
    FUELRING_NO_MEMORY = 12,
    FUELRING_INTERNAL = 70,    /* a fault of the library: please report it */
    FUELRING_INTERRUPTED = 130 /* `progress` asked for it */
};

/* Such as "0.2.0"; stays valid while the program runs. */
FUELRING_EXPORT const char *fuelring_version(void);

typedef struct fuelring_error fuelring_error;

/* One line: "WHERE: WHAT; WHAT TO DO". Good until the error is freed. "" for NULL. */
FUELRING_EXPORT const char *fuelring_error_text(const fuelring_error *error);
/* NULL is passed over. */
FUELRING_EXPORT void fuelring_error_free(fuelring_error *error);

/* A table of fuel classes: what codes of the raster mean. Calls may share one. */
typedef struct fuelring_classes fuelring_classes;

/* One row: `group` is one of conifer, mixed, broadleaved, grass, shrub, built, water, bare,
 * unmapped; `conifer_share` goes from 0 to 1, to four decimals. */
typedef struct fuelring_class {
    int64_t code;
    const char *group;
    double conifer_share;
} fuelring_class;

FUELRING_EXPORT int fuelring_classes_of(const fuelring_class *rows, size_t count,
                                        fuelring_classes **classes, fuelring_error **error);
/* Reads the CSV code,label,group,conifer_share,source; `path` in UTF-8. */
FUELRING_EXPORT int fuelring_classes_read(const char *path, fuelring_classes **classes,
                                          fuelring_error **error);
/* For rasters of shares. `whole` is the value of a cell full of conifers: 100 for per cent, 1 for
 * fractions. Other values are no share. */
FUELRING_EXPORT int fuelring_classes_of_shares(double whole, fuelring_classes **classes,
                                               fuelring_error **error);
/* NULL is passed over. */
FUELRING_EXPORT void fuelring_classes_free(fuelring_classes *classes);

/* Types of cells, in the byte order of the machine. */
enum {
    FUELRING_UINT8 = 0,
    FUELRING_INT8 = 1,
    FUELRING_UINT16 = 2,
    FUELRING_INT16 = 3,
    FUELRING_UINT32 = 4,
    FUELRING_INT32 = 5,
    FUELRING_INT64 = 6,
    FUELRING_FLOAT32 = 7,
    FUELRING_FLOAT64 = 8
};

/* Cells that somebody else holds, in a projected system of coordinates. */
typedef struct fuelring_raster {
    const void *data; /* the cell of column 0 and row 0 */
    int type;
    ptrdiff_t row_stride; /* bytes from row to row, and from column to column; may be below 0 */
    ptrdiff_t col_stride;
    int64_t cols;
    int64_t rows;
    double geotransform[6]; /* as GDAL has it */
    int has_nodata;
    double nodata; /* cells of this value have no data, and those that are NaN */
} fuelring_raster;

/* Offsets of an Arrow layout: part k is what lies from [k] to before [k + 1]. */
typedef struct fuelring_offsets {
    const void *values;
    size_t count; /* of offsets, one more than of parts; 0: there are none */
    int bits;     /* 32 or 64 */
} fuelring_offsets;

/* Footprints in the coordinates of the raster: well-known binary where `wkb` is there, else the
 * GeoArrow layout of polygons (`features` empty) or multipolygons. */
typedef struct fuelring_footprints {
    const uint8_t *wkb;
    fuelring_offsets wkb_offsets; /* into `wkb`; an empty part is null */

    fuelring_offsets features; /* into `polygons`; none: every polygon is a feature */
    fuelring_offsets polygons; /* into `rings` */
    fuelring_offsets rings;    /* into the coordinates */
    const double *x;
    const double *y;
    size_t coordinates; /* how many */
    size_t stride;      /* doubles from one to the next: 1 apart, 2 for x, y, x, y */
} fuelring_footprints;

/* What is measured and how. Begin with a copy of what fuelring_request_default gives. */
typedef struct fuelring_request {
    size_t size; /* of this structure, as the caller was compiled: later versions add members */
    fuelring_footprints footprints;
    fuelring_raster raster;
    const fuelring_classes *classes;
    const double *outer_m; /* rings: outer distances from the wall, rising */
    const double *weight;  /* as many */
    size_t rings;          /* 0: those of the program, 1.5, 10, 30 and 100 m */
    double units_per_metre;          /* of the coordinates in a metre of the ground; 0: 1 */
    int unknown_codes_are_unmapped;  /* else codes that the table lacks are an error */
    int jobs;                        /* threads; 0: as many as there are cores */
    /* Features done and in all, from one thread at a time, not always the caller's; a result
     * other than 0 stops the call within a second. May be NULL. */
    int (*progress)(size_t done, size_t all, void *user);
    void *user; /* handed to `progress` */
} fuelring_request;

FUELRING_EXPORT fuelring_request fuelring_request_default(void);

/* Measures every footprint, to the last bit as `fuelring map` does. The result is a table: a
 * struct array with a row for each feature and columns
 *     status                 utf8: ok, repaired, empty, not_finite, not_polygons, malformed,
 *                            failed, too_large; only the first two have figures
 *     exposure               0 to 100
 *     nearest_conifer_m      by the ruler, from the wall
 *     footprint_m2, roof_canopy_m2
 *     ring_m2, mapped_m2, conifer_m2, conifer_frac, other_burnable_frac, unmapped_frac
 *                            fixed-size lists with a value for each ring
 * in doubles. What is not known is null, never 0. The caller releases schema and array as the
 * Arrow C data interface says. After an error neither holds anything (release is NULL). */
FUELRING_EXPORT int fuelring_measure(const fuelring_request *request, struct ArrowSchema *schema,
                                     struct ArrowArray *array, fuelring_error **error);

/* The priority surface: for each cell of the raster, row by row, the points of exposure that
 * clearing it would save; NaN where no ring reaches or nothing is mapped. `row_stride` in floats.
 * `sum`, which may be NULL, gets the sum over the cells. */
FUELRING_EXPORT int fuelring_priority(const fuelring_request *request, float *values,
                                      ptrdiff_t row_stride, double *sum, fuelring_error **error);

#ifdef __cplusplus
}
#endif

#endif /* FUELRING_FUELRING_H */
