// SPDX-License-Identifier: Apache-2.0

// From figures to sentences. Nothing is said that the figures do not bear out: a ring that is not
// mapped is said to be so, "clear" needs all of it mapped, and what rounds to 0 but is there is
// "<1". Sentences come whole from the template, lists of owners apart, so that a translator can
// word each one freely.
#include "report/words/sheet_words.hpp"

#include "report/words/within.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <numeric>

namespace fuelring::report {

namespace {

constexpr std::size_t most_owners = 4; ///< named in one sentence; the others are taken together
constexpr double percent = 100;

class Words {
public:
    Words(const HomeFigures& home, const RunFacts& run, const SheetText& text)
        : home_(home), run_(run), text_(text)
    {}

    SheetWords all()
    {
        SheetWords words;
        words.heading = home_.address.empty()
                            ? text_.word("page.no_address", {{"structure", home_.structure_id}})
                            : home_.address;
        words.place = home_.neighbourhood.empty()
                          ? text_.word("page.place_outside", {{"community", run_.community}})
                          : text_.word("page.place", {{"neighbourhood", home_.neighbourhood},
                                                      {"community", run_.community}});
        words.imagery =
            run_.imagery_date.empty()
                ? text_.word("page.imagery_undated")
                : text_.word("page.imagery", {{"imagery_date", text_.date(run_.imagery_date)}});
        words.stands = stands();
        words.ground = ground();
        for (const std::string* said : {&run_.visit, &run_.contact})
            if (!said->empty())
                words.offer.push_back(*said);
        words.advice = advice_for(home_, run_, text_);
        words.before = text_.cautions;
        words.limits = text_.word("limits.text");
        words.made = text_.word("page.source", {{"structure", home_.structure_id},
                                                {"program", run_.program},
                                                {"community", run_.community}});
        return words;
    }

private:
    double widest_m() const { return home_.rings.back().to_m; }

    std::string nearest() const
    {
        if (!home_.nearest_conifer_m)
            return text_.word("figures.nearest_none", {{"widest", text_.length(widest_m())}});
        if (*home_.nearest_conifer_m <= 0)
            return text_.word("figures.nearest_touching");
        return text_.word("figures.nearest",
                          {{"distance", text_.number(*home_.nearest_conifer_m, 1)}});
    }

    /// The word for rings of which conifers alone are known, where the template has one.
    std::string or_only(const std::string& word, const RingFigures& ring) const
    {
        const std::string only = word + "_only";
        return !ring.other_burnable_frac && text_.words.contains(only) ? only : word;
    }

    std::string ring(const RingFigures& ring) const
    {
        const std::string from = text_.length(ring.from_m);
        const std::string to = text_.length(ring.to_m);
        if (!ring.conifer_frac)
            return text_.word("figures.ring_unmapped", {{"from", from}, {"to", to}});
        const std::string other =
            ring.other_burnable_frac ? whole(percent * *ring.other_burnable_frac, text_) : "?";
        std::string said =
            ring.conifer_m2 > 0
                ? text_.word(or_only("figures.ring", ring),
                             {{"from", from},
                              {"to", to},
                              {"conifer", whole(ring.conifer_m2, text_)},
                              {"percent", whole(percent * *ring.conifer_frac, text_)},
                              {"other", other}})
                : text_.word(or_only("figures.ring_none", ring),
                             {{"from", from}, {"to", to}, {"other", other}});
        if (ring.unmapped_frac >= hardly_any)
            said += fmt::format(
                " {}", text_.word("figures.ring_partly",
                                  {{"percent", whole(percent * ring.unmapped_frac, text_)}}));
        return said;
    }

    std::vector<std::string> stands() const
    {
        std::vector<std::string> said;
        if (home_.exposure || home_.nearest_conifer_m) // else there is no map to show none
            said.push_back(nearest());
        if (home_.roof_canopy_m2 > 0)
            said.push_back(
                text_.word("figures.roof", {{"area", whole(home_.roof_canopy_m2, text_)}}));
        for (const RingFigures& figures : home_.rings)
            said.push_back(ring(figures));
        // Less would be printed as 1.0 times.
        if (home_.down_factor > 1.005)
            said.push_back(
                text_.word("figures.slope", {{"factor", text_.number(home_.down_factor, 1)}}));
        said.push_back(
            home_.exposure && home_.rank
                ? text_.word(
                      *home_.rank == 1 ? "figures.exposure_first" : "figures.exposure",
                      {{"exposure", text_.number(*home_.exposure, 1)},
                       {"rank", text_.number(static_cast<double>(*home_.rank), 0)},
                       {"structures", text_.number(static_cast<double>(run_.structures), 0)}})
                : text_.word("figures.exposure_none"));
        return said;
    }

    std::string owner(const std::string& name) const
    {
        if (name == "own" || name == "other_private" || name == "no_parcel")
            return text_.word(fmt::format("owners.{}", name));
        const auto found = text_.owner_classes.find(name);
        return found == text_.owner_classes.end() ? text_.word("owners.class", {{"class", name}})
                                                  : found->second;
    }

    /// Whose ground the conifers within a distance stand on, the most first.
    std::string ground_within(double distance_m) const
    {
        const Within within{home_, distance_m};
        std::vector<std::size_t> order(home_.owners.size());
        std::iota(order.begin(), order.end(), std::size_t{0});
        std::stable_sort(order.begin(), order.end(), [&](std::size_t a, std::size_t b) {
            return within.of_owner_m2(a) > within.of_owner_m2(b);
        });
        std::string list;
        double rest_m2 = 0;
        std::size_t named = 0;
        const auto add = [&](double m2, const std::string& whose) {
            list += fmt::format(
                "{}{}", list.empty() ? std::string{} : text_.word("ground.separator"),
                text_.word("ground.item", {{"area", whole(m2, text_)}, {"owner", whose}}));
        };
        for (const std::size_t k : order) {
            const double m2 = within.of_owner_m2(k);
            if (m2 <= 0)
                break;
            if (++named > most_owners)
                rest_m2 += m2;
            else
                add(m2, owner(home_.owners[k]));
        }
        if (rest_m2 > 0)
            add(rest_m2, text_.word("owners.other"));
        const std::string distance = text_.length(distance_m);
        if (list.empty())
            return text_.word(within.all_mapped() ? "ground.none" : "ground.unknown",
                              {{"distance", distance}});
        return text_.word("ground.within", {{"distance", distance}, {"list", list}});
    }

    std::vector<std::string> ground() const
    {
        if (home_.owners.empty())
            return {text_.word("ground.no_parcels")};
        std::vector<std::string> said{ground_within(run_.near_m)};
        if (widest_m() > run_.near_m)
            said.push_back(ground_within(widest_m()));
        return said;
    }

    const HomeFigures& home_;
    const RunFacts& run_;
    const SheetText& text_;
};

} // namespace

SheetWords words_for(const HomeFigures& home, const RunFacts& run, const SheetText& text)
{
    return Words{home, run, text}.all();
}

} // namespace fuelring::report
