// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "report/print/cairo_handles.hpp"

#include <exception>
#include <functional>
#include <string>
#include <string_view>

namespace fuelring::report {

/// Takes the bytes of a file, in order. May throw: the exception comes out of the next end_page(),
/// finish() or write_png(), and no more bytes are handed over. The view is valid during a call.
using Sink = std::function<void(std::string_view)>;

inline constexpr double points_per_mm = 72 / 25.4;

/// Size of a page, in points.
struct Paper {
    double width_pt = 210 * points_per_mm;
    double height_pt = 297 * points_per_mm;
};
inline constexpr Paper paper_a4{};
inline constexpr Paper paper_letter{612, 792};

/// What a PDF says of itself. Empty texts are left out.
struct DocumentFacts {
    std::string title;
    std::string creator; ///< the program and its version
    std::string date; ///< ISO 8601 date, or date and time; never the present: same run, same bytes
};

/// A sink as Cairo writes to it, with what the sink threw: exceptions may not pass through C.
/// Refers to the sink; stays where it is while Cairo holds its address.
struct SinkStream {
    const Sink& sink;
    std::exception_ptr failure{};

    /// Of type cairo_write_func_t; `stream` is a SinkStream.
    static cairo_status_t write(void* stream, const unsigned char* bytes, unsigned int n);
};

/// A PDF 1.5 that is written through a sink as it is drawn; origin at the upper left, units points.
/// Law: the same calls give the same bytes on the same machine. For one thread. Not to be moved,
/// for Cairo holds the address of its stream.
class PdfDocument {
public:
    /// `sink` must outlive the document. Throws nothing: a fault comes out of end_page() or
    /// finish().
    PdfDocument(const Sink& sink, Paper paper, const DocumentFacts& facts);

    cairo_t* cr() const { return cr_.get(); } ///< draws on the page that was begun last
    /// Gives the page that was drawn an entry in the document's outline. Call it last before
    /// end_page(): Cairo does not survive an entry for a page that never comes.
    void name_page(const std::string& name);
    /// Writes the page and begins the next. Throws: what the sink threw.
    void end_page();
    /// Writes what is left; nothing may be drawn afterwards. Throws: what the sink threw;
    /// Error{output} with Cairo's reason.
    void finish();

private:
    SinkStream stream_;
    SurfacePtr surface_;
    ContextPtr cr_;
    int page_ = 1;
};

/// A picture made by others, such as a town's mark, to be set into a page.
class Logo {
public:
    /// From the bytes of a PNG. Throws: std::runtime_error with Cairo's reason where they are none.
    explicit Logo(std::string_view png);

    /// Points that it takes within `most`, as wide as high as it is.
    struct Size {
        double width_pt;
        double height_pt;
    };
    Size size_within(Size most) const;
    /// Draws it with its upper left corner at (x, y). In a PDF it is there once, however often.
    void draw(cairo_t* cr, double x_pt, double y_pt, Size size) const;

private:
    SurfacePtr surface_;
};

/// A picture of `width_px` x `height_px` pixels, white at first; 24 bits a pixel in memory.
class Picture {
public:
    /// What is drawn is in points, each of `px_per_pt` pixels. Too large a picture is reported by
    /// write_png().
    Picture(int width_px, int height_px, double px_per_pt);

    cairo_t* cr() const { return cr_.get(); }
    /// The picture as PNG. Throws: what the sink threw; Error{output} with Cairo's reason.
    void write_png(const Sink& sink);

private:
    SurfacePtr surface_;
    ContextPtr cr_;
};

} // namespace fuelring::report
