// SPDX-License-Identifier: Apache-2.0
#pragma once

#include "report/print/cairo_handles.hpp"

#include <exception>
#include <functional>
#include <string>
#include <string_view>

namespace fuelring::report {

/// Takes the bytes of a file, in order. May throw; the exception comes out of `finish`.
using Sink = std::function<void(std::string_view)>;

inline constexpr double points_per_mm = 72 / 25.4;

/// Size of a page, in points.
struct Paper {
    double width_pt = 210 * points_per_mm;
    double height_pt = 297 * points_per_mm;
};
inline constexpr Paper paper_a4{};
inline constexpr Paper paper_letter{612, 792};

/// What stands in a PDF beside its pages.
struct DocumentFacts {
    std::string title;
    std::string creator; ///< the program and its version
    std::string date; ///< ISO 8601 date, or date and time; never the present: same run, same bytes
};

/// A PDF that is written through a sink as it is drawn; origin at the upper left, units points.
class PdfDocument {
public:
    /// `sink` must outlive the document.
    PdfDocument(const Sink& sink, Paper paper, const DocumentFacts& facts);

    cairo_t* cr() const { return cr_.get(); }
    /// Gives the page that was drawn an entry in the document's outline. Call it last before
    /// end_page(): Cairo does not survive an entry for a page that never comes.
    void name_page(const std::string& name);
    /// Throws: what the sink threw.
    void end_page();
    /// Writes what is left. Throws: what the sink threw; Error{output} with Cairo's reason.
    void finish();

private:
    struct Stream {
        const Sink& sink;
        std::exception_ptr failure;
    };
    static cairo_status_t write(void* closure, const unsigned char* bytes, unsigned int n);

    Stream stream_;
    SurfacePtr surface_;
    ContextPtr cr_;
    int page_ = 1;
};

/// A picture of `width_px` x `height_px`, drawn in points at `px_per_pt`, white at first.
class Picture {
public:
    Picture(int width_px, int height_px, double px_per_pt);

    cairo_t* cr() const { return cr_.get(); }
    /// The picture as PNG. Throws: what the sink threw; Error{output} with Cairo's reason.
    void write_png(const Sink& sink);

private:
    SurfacePtr surface_;
    ContextPtr cr_;
};

} // namespace fuelring::report
