// SPDX-License-Identifier: Apache-2.0

// Advice is a choice from the template by occasion. Most items of a template have one source, which
// is told once; a number at every line would send readers thirteen times to the same note.
#include "report/words/sheet_advice.hpp"

#include "report/words/within.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <map>

namespace fuelring::report {

namespace {

class Choice {
public:
    Choice(const HomeFigures& home, const RunFacts& run, const SheetText& text)
        : home_(home), run_(run), text_(text), wall_(home, home.rings.front().to_m),
          near_(home, run.near_m), unmarked_(most_common_source(text))
    {}

    SheetAdvice all()
    {
        SheetAdvice advice;
        advice.job = job();
        advice.own = own();
        for (const Advice& place : text_.advice)
            add(place, advice.everyone);
        advice.sources = sources();
        return advice;
    }

private:
    double widest_m() const { return home_.rings.back().to_m; }

    double near_other_m2() const
    {
        double m2 = 0;
        for (std::size_t k = 0; k < home_.owners.size(); ++k)
            if (home_.owners[k] != "own" && home_.owners[k] != "no_parcel")
                m2 += near_.of_owner_m2(k);
        return m2;
    }

    bool calls_for(Occasion when) const
    {
        switch (when) {
        case Occasion::always:
            return true;
        case Occasion::wall_conifers:
            return wall_.conifer_m2() > 0;
        case Occasion::wall_clear:
            return wall_.conifer_m2() <= 0 && wall_.all_mapped();
        case Occasion::near_conifers:
            return near_.conifer_m2() > 0;
        case Occasion::near_clear:
            return near_.conifer_m2() <= 0 && near_.all_mapped();
        case Occasion::near_unmapped:
            return !near_.all_mapped();
        case Occasion::near_others:
            return near_other_m2() > 0;
        case Occasion::beyond_conifers:
            return Within{home_, widest_m()}.conifer_m2() > near_.conifer_m2();
        case Occasion::roof_branches:
            return home_.roof_canopy_m2 > 0;
        }
        return false;
    }

    /// What to begin with. Exposure counts no roof, so branches over it are told without a gain.
    std::vector<std::string> job() const
    {
        std::vector<std::string> said;
        const double m2 = near_.conifer_m2();
        const std::string near = text_.length(run_.near_m);
        if (m2 > 0 && home_.exposure && home_.exposure_cleared) {
            const std::string now = text_.number(*home_.exposure, 1);
            const std::string after = text_.number(*home_.exposure_cleared, 1);
            const std::string area = whole(m2, text_);
            said.push_back(
                now == after
                    ? text_.word("job.clear_little",
                                 {{"area", area}, {"near", near}, {"exposure", now}})
                    : text_.word(
                          "job.clear",
                          {{"area", area}, {"near", near}, {"exposure", now}, {"after", after}}));
            if (near_other_m2() > 0)
                said.push_back(text_.word("job.others", {{"area", whole(near_other_m2(), text_)}}));
        } else if (home_.roof_canopy_m2 > 0) {
            said.push_back(text_.word("job.roof", {{"area", whole(home_.roof_canopy_m2, text_)}}));
        } else if (near_.all_mapped()) {
            said.push_back(text_.word("job.none", {{"near", near}}));
        }
        if (!near_.all_mapped())
            said.push_back(text_.word("job.unmapped", {{"near", near}}));
        return said;
    }

    std::string item_words(const AdviceItem& item)
    {
        return filled(item.text, {{"wall", text_.length(home_.rings.front().to_m)},
                                  {"near", text_.length(run_.near_m)},
                                  {"widest", text_.length(widest_m())},
                                  {"wall_conifer", whole(wall_.conifer_m2(), text_)},
                                  {"near_conifer", whole(near_.conifer_m2(), text_)},
                                  {"near_other", whole(near_other_m2(), text_)},
                                  {"roof", whole(home_.roof_canopy_m2, text_)}}) +
               mark(item.source);
    }

    /// What this home's figures call for, in one block, from the wall outwards.
    std::vector<AdviceBlock> own()
    {
        AdviceBlock block{text_.word("page.own"), {}};
        for (const Advice& place : text_.advice)
            for (const AdviceItem& item : place.items)
                if (item.when != Occasion::always && calls_for(item.when))
                    block.items.push_back(item_words(item));
        return block.items.empty() ? std::vector<AdviceBlock>{} : std::vector{std::move(block)};
    }

    /// Adds what a place has for every home; the same place twice is one block with two headings.
    void add(const Advice& place, std::vector<AdviceBlock>& blocks)
    {
        AdviceBlock block{place.title, {}};
        for (const AdviceItem& item : place.items)
            if (item.when == Occasion::always)
                block.items.push_back(item_words(item));
        if (!block.items.empty())
            blocks.push_back(std::move(block));
    }

    /// The source of most items of the template: the same on all sheets.
    static std::string most_common_source(const SheetText& text)
    {
        std::map<std::string, int> items;
        for (const Advice& place : text.advice)
            for (const AdviceItem& item : place.items)
                ++items[item.source];
        const auto most =
            std::max_element(items.begin(), items.end(),
                             [](const auto& a, const auto& b) { return a.second < b.second; });
        return most == items.end() ? std::string{} : most->first;
    }

    /// The raised number of a source, counted in the order in which a sheet comes to them; none of
    /// the one of most items.
    std::string mark(const std::string& source)
    {
        if (source == unmarked_)
            return {};
        auto found = std::find(cited_.begin(), cited_.end(), source);
        if (found == cited_.end())
            found = cited_.insert(cited_.end(), source);
        return raised(static_cast<std::size_t>(found - cited_.begin()) + 1);
    }

    static std::string raised(std::size_t number)
    {
        constexpr const char* digits[] = {"⁰", "¹", "²", "³", "⁴", "⁵", "⁶", "⁷", "⁸", "⁹"};
        std::string out;
        for (const char digit : std::to_string(number))
            out += digits[digit - '0'];
        return out;
    }

    std::string sources() const
    {
        std::string said =
            unmarked_.empty()
                ? std::string{}
                : text_.word("page.advice_source", {{"source", text_.sources.at(unmarked_)}});
        for (std::size_t k = 0; k < cited_.size(); ++k)
            said += fmt::format("{}{} {}", said.empty() ? "" : " ", raised(k + 1),
                                text_.sources.at(cited_[k]));
        return said;
    }

    const HomeFigures& home_;
    const RunFacts& run_;
    const SheetText& text_;
    Within wall_;
    Within near_;
    std::string unmarked_;
    std::vector<std::string> cited_;
};

} // namespace

SheetAdvice advice_for(const HomeFigures& home, const RunFacts& run, const SheetText& text)
{
    return Choice{home, run, text}.all();
}

} // namespace fuelring::report
