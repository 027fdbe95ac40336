#include "stillpoint/fetch/fetch.h"

#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <optional>
#include <utility>

#include "stillpoint/fetch/cache.h"
#include "stillpoint/fetch/file_name.h"
#include "stillpoint/fetch/file_walk.h"
#include "stillpoint/time/scales.h"

namespace stillpoint::fetch {
namespace {

class Walk {
 public:
  Walk(const FetchRequest& request,
       const ArchiveList& list,
       Cache& cache,
       GnssTime now,
       Transfer& transfer)
      : request_(&request),
        list_(&list),
        now_(now),
        files_(list, cache, now, transfer) {}

  Result<Fetched> run(FetchPlan plan) {
    if (auto state = take_together(plan); !state) {
      return fail(std::move(state.error()));
    }
    if (auto state = take_alone(plan); !state) {
      return fail(std::move(state.error()));
    }
    std::sort(out_.kinds.begin(), out_.kinds.end(), [](auto& a, auto& b) {
      return a.kind < b.kind;
    });
    out_.warnings.insert(out_.warnings.end(),
                         files_.troubles().begin(),
                         files_.troubles().end());
    for (Advice& one : when_to_expect(plan, *request_, now_)) {
      const KindFiles* used = out_.of(one.kind);
      if (used != nullptr && one.quality < used->quality) {
        out_.better_later.push_back(std::move(one));
      }
    }
    add_attributions();
    return std::move(out_);
  }

 private:
  using MaybeKind = std::optional<KindFiles>;

  // All files of a line, or none where a required one is missing.
  Result<MaybeKind> take_line(const PlannedLine& planned) {
    const ProductLine& line = planned.line;
    if (planned.too_early) {
      return MaybeKind{};
    }
    std::map<GnssTime, FetchedFile> found;
    bool edges = true;
    for (const bool required : {true, false}) {
      for (const PlannedFile& file : planned.files) {
        if (file.required != required) {
          continue;
        }
        auto one = take_first(line, file, found);
        if (!one) {
          return fail(std::move(one.error()));
        }
        if (!*one && required) {
          return MaybeKind{};
        }
        edges = edges && *one;
      }
    }
    KindFiles kind{line.kind, line.quality, line.agency, line.campaign, {}};
    for (auto& [begins, file] : found) {
      kind.files.push_back(std::move(file));
    }
    if (!edges) {
      out_.warnings.push_back(fmt::format(
          "{}: the files before or after are not there; the span's ends are "
          "less certain, or without {}",
          kind_word(line.kind),
          kind_word(line.kind)));
    }
    return kind;
  }

  // The first of the files that would do; whether there is one.
  Result<bool> take_first(const ProductLine& line,
                          const PlannedFile& file,
                          std::map<GnssTime, FetchedFile>& found) {
    for (const GnssTime begins : file.begins) {
      if (found.contains(begins)) {
        return true;
      }
      auto one = files_.take(line, begins);
      if (!one) {
        return fail(std::move(one.error()));
      }
      if (*one) {
        found.emplace(begins, std::move(**one));
        return true;
      }
    }
    return false;
  }

  // One kind of a group, from the first of its lines that is complete.
  Result<MaybeKind> take_kind(const std::vector<PlannedLine>& lines,
                              ProductKind kind) {
    for (const PlannedLine& line : lines) {
      if (line.line.kind != kind) {
        continue;
      }
      auto files = take_line(line);
      if (!files || *files) {
        return files;
      }
    }
    return MaybeKind{};
  }

  // The first group that is complete.
  Status take_together(const FetchPlan& plan) {
    const auto& kinds = request_->kinds;
    const auto& if_there = request_->if_there;
    if (std::none_of(kinds.begin(), kinds.end(), goes_together) &&
        std::none_of(if_there.begin(), if_there.end(), goes_together)) {
      return ok();
    }
    for (const PlannedGroup& group : plan.together) {
      const std::size_t warnings = out_.warnings.size();
      auto complete = take_group(group);
      if (!complete) {
        return fail(std::move(complete.error()));
      }
      if (*complete) {
        group_ = &group;
        return ok();
      }
      out_.kinds.clear();
      out_.warnings.resize(warnings);
    }
    std::vector<std::string> wanted;
    for (const ProductKind kind : kinds) {
      if (goes_together(kind)) {
        wanted.emplace_back(kind_word(kind));
      }
    }
    if (wanted.empty()) {
      return ok();
    }
    return nowhere(plan, fmt::format("{}", fmt::join(wanted, ", ")));
  }

  Result<bool> take_group(const PlannedGroup& group) {
    for (const bool required : {true, false}) {
      for (const ProductKind kind :
           required ? request_->kinds : request_->if_there) {
        if (!goes_together(kind) || out_.of(kind) != nullptr) {
          continue;
        }
        auto files = take_kind(group.lines, kind);
        if (!files) {
          return fail(std::move(files.error()));
        }
        if (*files) {
          out_.kinds.push_back(std::move(**files));
        } else if (required) {
          return false;
        } else {
          out_.warnings.push_back(fmt::format("no {} of {} ({})",
                                              kind_word(kind),
                                              group.agency,
                                              quality_name(group.quality)));
        }
      }
    }
    return !out_.kinds.empty();
  }

  Status take_alone(FetchPlan& plan) {
    if (group_ != nullptr) {
      // What belongs to the orbits' own estimate fits them best.
      std::stable_partition(
          plan.alone.begin(), plan.alone.end(), [&](const PlannedLine& one) {
            return one.line.agency == group_->agency &&
                   one.line.campaign == group_->campaign &&
                   one.line.quality == group_->quality;
          });
    }
    for (const bool required : {true, false}) {
      for (const ProductKind kind :
           required ? request_->kinds : request_->if_there) {
        if (goes_together(kind) || out_.of(kind) != nullptr) {
          continue;
        }
        auto files = take_kind(plan.alone, kind);
        if (!files) {
          return fail(std::move(files.error()));
        }
        if (*files) {
          out_.kinds.push_back(std::move(**files));
        } else if (required) {
          return nowhere(plan, kind_word(kind));
        } else {
          out_.warnings.push_back(fmt::format("no {}", kind_word(kind)));
        }
      }
    }
    return ok();
  }

  [[nodiscard]] Status nowhere(const FetchPlan& plan,
                               const std::string& kinds) const {
    std::string what = fmt::format("{} for {} to {} are nowhere to be had",
                                   kinds,
                                   format_gpst(request_->first),
                                   format_gpst(request_->last));
    for (const std::string& trouble : files_.troubles()) {
      what += fmt::format("\n{}", trouble);
    }
    if (files_.nobody_answered()) {
      const Error& why = files_.first_failure();
      return fail(why.code, std::move(what), {}, why.remedy);
    }
    std::vector<std::string> advice;
    for (const Advice& one : when_to_expect(plan, *request_, now_)) {
      advice.push_back(one.text);
    }
    return fail(ErrorCode::kNoData,
                std::move(what),
                {},
                advice.empty() ? "they should be there: compare the names in "
                                 "archives.toml with those of the archive"
                               : fmt::format("{}", fmt::join(advice, "; ")));
  }

  void add_attributions() {
    for (const Archive& archive : list_->archives) {
      const std::string host = host_of(archive.url_template);
      const bool used = std::any_of(
          out_.kinds.begin(), out_.kinds.end(), [&](const KindFiles& kind) {
            return std::any_of(
                kind.files.begin(), kind.files.end(), [&](auto& file) {
                  return host_of(file.url) == host;
                });
          });
      auto& list = out_.attributions;
      if (used && !archive.attribution.empty() &&
          std::find(list.begin(), list.end(), archive.attribution) ==
              list.end()) {
        list.push_back(archive.attribution);
      }
    }
  }

  const FetchRequest* request_;
  const ArchiveList* list_;
  GnssTime now_;
  FileWalk files_;
  const PlannedGroup* group_ = nullptr;
  Fetched out_;
};

}  // namespace

const KindFiles* Fetched::of(ProductKind kind) const {
  const auto found = std::find_if(
      kinds.begin(), kinds.end(), [&](auto& one) { return one.kind == kind; });
  return found == kinds.end() ? nullptr : &*found;
}

Result<Fetched> fetch(const FetchRequest& request,
                      const ArchiveList& list,
                      const std::filesystem::path& cache,
                      GnssTime now,
                      Transfer& transfer) {
  auto planned = plan(request, list, now);
  if (!planned) {
    return fail(std::move(planned.error()));
  }
  auto folder = Cache::open(cache);
  if (!folder) {
    return fail(std::move(folder.error()));
  }
  Walk walk(request, list, **folder, now, transfer);
  auto result = walk.run(std::move(*planned));
  const auto saved = (*folder)->save_misses(now);
  if (!saved && result) {
    result->warnings.push_back(saved.error().text());
  }
  return result;
}

}  // namespace stillpoint::fetch
