// SPDX-License-Identifier: Apache-2.0

// Cairo writes through a C function that may not throw. What a sink throws is kept in the stream
// and thrown again from the next function of ours that may.
#include "report/print/document.hpp"

#include "report/print/text_setter.hpp"

#include <fuelring/error.hpp>

#include <cairo-pdf.h>
#include <fmt/format.h>

#include <algorithm>
#include <stdexcept>

namespace fuelring::report {

namespace {

void require_ok(cairo_status_t status, std::exception_ptr failure, const char* what)
{
    if (failure)
        std::rethrow_exception(failure);
    if (status != CAIRO_STATUS_SUCCESS)
        throw Error{Failure::output,
                    fmt::format("{} could not be drawn: {}", what, cairo_status_to_string(status))};
}

} // namespace

/// Cairo hears of no failure: where it cannot write the end of a PDF, it reads freed memory (1.16).
cairo_status_t SinkStream::write(void* stream, const unsigned char* bytes, unsigned int n)
{
    auto& to = *static_cast<SinkStream*>(stream);
    try {
        if (!to.failure)
            to.sink({reinterpret_cast<const char*>(bytes), n});
    } catch (...) {
        to.failure = std::current_exception();
    }
    return CAIRO_STATUS_SUCCESS;
}

PdfDocument::PdfDocument(const Sink& sink, Paper paper, const DocumentFacts& facts)
    : stream_{sink}, surface_(cairo_pdf_surface_create_for_stream(SinkStream::write, &stream_,
                                                                  paper.width_pt, paper.height_pt))
{
    cairo_pdf_surface_restrict_to_version(surface_.get(), CAIRO_PDF_VERSION_1_5);
    const auto say = [&](cairo_pdf_metadata_t key, const std::string& value) {
        if (!value.empty())
            cairo_pdf_surface_set_metadata(surface_.get(), key, clean_text(value).c_str());
    };
    say(CAIRO_PDF_METADATA_TITLE, facts.title);
    say(CAIRO_PDF_METADATA_CREATOR, facts.creator);
    say(CAIRO_PDF_METADATA_CREATE_DATE, facts.date);
    say(CAIRO_PDF_METADATA_MOD_DATE, facts.date);
    cr_.reset(cairo_create(surface_.get()));
}

void PdfDocument::name_page(const std::string& name)
{
    cairo_pdf_surface_add_outline(surface_.get(), CAIRO_PDF_OUTLINE_ROOT, clean_text(name).c_str(),
                                  fmt::format("page={} pos=[0 0]", page_).c_str(),
                                  static_cast<cairo_pdf_outline_flags_t>(0));
}

void PdfDocument::end_page()
{
    cairo_show_page(cr_.get());
    if (stream_.failure)
        std::rethrow_exception(stream_.failure);
    ++page_;
}

void PdfDocument::finish()
{
    const cairo_status_t drawn = cairo_status(cr_.get());
    cr_.reset();
    cairo_surface_finish(surface_.get());
    require_ok(drawn == CAIRO_STATUS_SUCCESS ? cairo_surface_status(surface_.get()) : drawn,
               stream_.failure, "the PDF");
}

Logo::Logo(std::string_view png)
{
    const auto read = [](void* rest, unsigned char* into, unsigned int n) {
        auto& bytes = *static_cast<std::string_view*>(rest);
        if (bytes.size() < n)
            return CAIRO_STATUS_READ_ERROR;
        std::copy_n(bytes.begin(), n, reinterpret_cast<char*>(into));
        bytes.remove_prefix(n);
        return CAIRO_STATUS_SUCCESS;
    };
    surface_.reset(cairo_image_surface_create_from_png_stream(read, &png));
    if (const cairo_status_t status = cairo_surface_status(surface_.get());
        status != CAIRO_STATUS_SUCCESS)
        throw std::runtime_error{cairo_status_to_string(status)};
}

Logo::Size Logo::size_within(Size most) const
{
    const double width = cairo_image_surface_get_width(surface_.get());
    const double height = cairo_image_surface_get_height(surface_.get());
    const double scale = std::min(most.width_pt / width, most.height_pt / height);
    return {scale * width, scale * height};
}

void Logo::draw(cairo_t* cr, double x_pt, double y_pt, Size size) const
{
    const SavedState state{cr};
    const Tagged figure{cr, "Figure"};
    cairo_translate(cr, x_pt, y_pt);
    const double scale = size.width_pt / cairo_image_surface_get_width(surface_.get());
    cairo_scale(cr, scale, scale);
    cairo_set_source_surface(cr, surface_.get(), 0, 0);
    // Filled: Cairo 1.16 does not survive a picture that is painted in a tag of a PDF with an
    // outline.
    cairo_rectangle(cr, 0, 0, cairo_image_surface_get_width(surface_.get()),
                    cairo_image_surface_get_height(surface_.get()));
    cairo_fill(cr);
}

Picture::Picture(int width_px, int height_px, double px_per_pt)
    : surface_(cairo_image_surface_create(CAIRO_FORMAT_RGB24, width_px, height_px)),
      cr_(cairo_create(surface_.get()))
{
    set_colour(cr_.get(), grey(1));
    cairo_paint(cr_.get());
    cairo_scale(cr_.get(), px_per_pt, px_per_pt);
}

void Picture::write_png(const Sink& sink)
{
    require_ok(cairo_status(cr_.get()), nullptr, "the picture");
    SinkStream stream{sink};
    const cairo_status_t status =
        cairo_surface_write_to_png_stream(surface_.get(), SinkStream::write, &stream);
    require_ok(status, stream.failure, "the picture");
}

} // namespace fuelring::report
