// SPDX-License-Identifier: Apache-2.0

// From figures to sentences. Nothing is said that the figures do not bear out: a ring that is not
// mapped is said to be so, "clear" needs all of it mapped, and what rounds to 0 but is there is
// "<1". Advice is a choice from the template by occasion; sentences come
// whole from the template, lists of owners apart, so that a translator can word each one freely.
#include "report/print/sheet_words.hpp"

#include <fmt/format.h>

#include <algorithm>
#include <numeric>

namespace fuelring::report {

namespace {

constexpr std::size_t most_owners = 4; ///< named in one sentence; the others are taken together
constexpr double percent = 100;
/// Share of a ring without a known class that goes without saying: it rounds to nothing.
constexpr double hardly_any = 5e-3;

/// A share or an area in whole units; "<1" where it is less than half of one but not nothing.
std::string whole(double value, const SheetText& text)
{
    return value > 0 && value < 0.5 ? "<1" : text.number(value, 0);
}

/// Areas and shares over the rings up to a distance.
class Within {
public:
    Within(const HomeFigures& home, double distance_m) : home_(home)
    {
        while (rings_ < home.rings.size() && home.rings[rings_].to_m <= distance_m * (1 + 1e-12))
            ++rings_;
    }
    double conifer_m2() const
    {
        double m2 = 0;
        for (std::size_t k = 0; k < rings_; ++k)
            m2 += home_.rings[k].conifer_m2;
        return m2;
    }
    double of_owner_m2(std::size_t owner) const
    {
        double m2 = 0;
        for (std::size_t k = 0; k < rings_; ++k)
            if (owner < home_.rings[k].conifer_m2_of_owner.size())
                m2 += home_.rings[k].conifer_m2_of_owner[owner];
        return m2;
    }
    bool all_mapped() const
    {
        const auto end = home_.rings.begin() + static_cast<std::ptrdiff_t>(rings_);
        return std::all_of(home_.rings.begin(), end, [](const RingFigures& ring) {
            return ring.conifer_frac && ring.unmapped_frac < hardly_any;
        });
    }

private:
    const HomeFigures& home_;
    std::size_t rings_ = 0;
};

class Words {
public:
    Words(const HomeFigures& home, const RunFacts& run, const SheetText& text)
        : home_(home), run_(run), text_(text), wall_(home, home.rings.front().to_m),
          near_(home, run.near_m)
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
        for (const Advice& advice : text_.advice)
            add(advice, words.first);
        words.before = text_.cautions;
        words.limits = text_.word("limits.text");
        words.sources = sources();
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

    /// Adds the block of a piece of advice; the same place twice is one block with two headings.
    void add(const Advice& advice, std::vector<AdviceBlock>& blocks)
    {
        AdviceBlock block{advice.title, {}};
        for (const AdviceItem& item : advice.items)
            if (calls_for(item.when))
                block.items.push_back(
                    filled(item.text, {{"wall", text_.length(home_.rings.front().to_m)},
                                       {"near", text_.length(run_.near_m)},
                                       {"widest", text_.length(widest_m())},
                                       {"wall_conifer", whole(wall_.conifer_m2(), text_)},
                                       {"near_conifer", whole(near_.conifer_m2(), text_)},
                                       {"near_other", whole(near_other_m2(), text_)},
                                       {"roof", whole(home_.roof_canopy_m2, text_)}}) +
                    mark(item.source));
        if (!block.items.empty())
            blocks.push_back(std::move(block));
    }

    /// The raised number of a source, counted in the order in which a sheet comes to them.
    std::string mark(const std::string& source)
    {
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
        std::string said;
        for (std::size_t k = 0; k < cited_.size(); ++k)
            said += fmt::format("{}{} {}", k == 0 ? "" : " ", raised(k + 1),
                                text_.sources.at(cited_[k]));
        return said;
    }

    const HomeFigures& home_;
    const RunFacts& run_;
    const SheetText& text_;
    Within wall_;
    Within near_;
    std::vector<std::string> cited_;
};

} // namespace

SheetWords words_for(const HomeFigures& home, const RunFacts& run, const SheetText& text)
{
    return Words{home, run, text}.all();
}

} // namespace fuelring::report
