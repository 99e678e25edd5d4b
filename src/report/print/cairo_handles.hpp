// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <cairo.h>
#include <pango/pangocairo.h>

#include <memory>

namespace fuelring::report {

// Handles of Cairo and Pango, owned from the line they are born; the deleters are stateless.

struct SurfaceDestroy {
    void operator()(cairo_surface_t* p) const noexcept { cairo_surface_destroy(p); }
};
using SurfacePtr = std::unique_ptr<cairo_surface_t, SurfaceDestroy>;
static_assert(sizeof(SurfacePtr) == sizeof(cairo_surface_t*));

struct ContextDestroy {
    void operator()(cairo_t* p) const noexcept { cairo_destroy(p); }
};
using ContextPtr = std::unique_ptr<cairo_t, ContextDestroy>;

struct PatternDestroy {
    void operator()(cairo_pattern_t* p) const noexcept { cairo_pattern_destroy(p); }
};
using PatternPtr = std::unique_ptr<cairo_pattern_t, PatternDestroy>;

struct FontOptionsDestroy {
    void operator()(cairo_font_options_t* p) const noexcept { cairo_font_options_destroy(p); }
};
using FontOptionsPtr = std::unique_ptr<cairo_font_options_t, FontOptionsDestroy>;

struct FontDestroy {
    void operator()(PangoFontDescription* p) const noexcept { pango_font_description_free(p); }
};
using FontPtr = std::unique_ptr<PangoFontDescription, FontDestroy>;

struct AttributesRelease {
    void operator()(PangoAttrList* p) const noexcept { pango_attr_list_unref(p); }
};
using AttributesPtr = std::unique_ptr<PangoAttrList, AttributesRelease>;

/// Anything of GObject's: gives back one reference.
struct ObjectRelease {
    void operator()(void* p) const noexcept { g_object_unref(p); }
};
using FontMapPtr = std::unique_ptr<PangoFontMap, ObjectRelease>;
using TextContextPtr = std::unique_ptr<PangoContext, ObjectRelease>;
using LayoutPtr = std::unique_ptr<PangoLayout, ObjectRelease>;

/// Memory that GLib allocated.
struct GlibFree {
    void operator()(void* p) const noexcept { g_free(p); }
};
using GlibTextPtr = std::unique_ptr<char, GlibFree>;

/// What a block does to the state of a context (clip, matrix, line, source) ends with the block.
class SavedState {
public:
    explicit SavedState(cairo_t* cr) : cr_(cr) { cairo_save(cr_); }
    ~SavedState() { cairo_restore(cr_); }
    SavedState(const SavedState&) = delete;
    SavedState& operator=(const SavedState&) = delete;

private:
    cairo_t* cr_;
};

/// Marks what a block draws for those who have the document read to them.
class Tagged {
public:
    Tagged(cairo_t* cr, const char* tag) : cr_(cr), tag_(tag) { cairo_tag_begin(cr_, tag_, ""); }
    ~Tagged() { cairo_tag_end(cr_, tag_); }
    Tagged(const Tagged&) = delete;
    Tagged& operator=(const Tagged&) = delete;

private:
    cairo_t* cr_;
    const char* tag_;
};

} // namespace fuelring::report
