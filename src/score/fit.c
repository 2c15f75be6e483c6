/* A score laid over a passage, bar by bar: what a bar is too short of is silence at its end (of a
 * pickup: at its beginning), so that one odd bar does not move those behind it. Any thread. */
#include "score/score_priv.h"

static struct passo_ratio length_of(const struct passo_score_bar *bar)
{
    return passo_meter_length(&bar->meter);
}

/* Whether this bar and the next are two shares of one. */
static bool is_parted(const struct passo_score *score, size_t bar)
{
    if (bar + 1 >= score->bars || score->bar[bar].number != score->bar[bar + 1].number)
        return false;
    const struct passo_ratio both =
        passo_ratio_add(score->bar[bar].length, score->bar[bar + 1].length);
    return passo_ratio_cmp(both, length_of(&score->bar[bar])) == 0;
}

size_t passo_score_odds(const struct passo_score *score, struct passo_score_odd *out_odd,
                        size_t most)
{
    size_t odds = 0;
    for (size_t i = 0; i < score->bars; i++) {
        const struct passo_score_bar *bar = &score->bar[i];
        const struct passo_ratio wants = length_of(bar);
        const int over = passo_ratio_cmp(bar->length, wants);
        const bool may_be_short = bar->pickup || i + 1 == score->bars;
        if (is_parted(score, i)) {
            i++;
            continue;
        }
        if (over == 0 || (over < 0 && may_be_short))
            continue;
        if (odds < most)
            out_odd[odds] = (struct passo_score_odd){bar->number, bar->length, wants};
        odds++;
    }
    return odds;
}

/* --- laying it over --- */

/* A walk over the bars of both. */
struct fit {
    const struct passo_score *score;
    const struct passo_passage *passage;
    struct passo_interval written; /* from what stands in the score */
    struct passo_ratio from;       /* what is taken: [from, to) on the passage's line */
    struct passo_ratio to;
    int32_t first_bar; /* of what is taken */
    int32_t last_bar;
    struct passo_notes *out;
    char *fault;
    size_t fault_bytes;
};

#define FIT_FAULT(fit, ...) (snprintf((fit)->fault, (fit)->fault_bytes, __VA_ARGS__), false)

static struct passo_ratio nothing(void)
{
    return (struct passo_ratio){0, 1};
}

/* The bar of this number: of two the later, but of two shares the first. False: there is none. */
static bool find_bar(const struct passo_score *score, int32_t number, size_t *out_bar)
{
    for (size_t i = score->bars; i > 0; i--) {
        if (score->bar[i - 1].number != number)
            continue;
        *out_bar = i - 1;
        if (i > 1 && is_parted(score, i - 2))
            *out_bar = i - 2;
        return true;
    }
    return false;
}

/* What is taken reaches over the passage, its pickup and its context. A context that ends with a
 * bar line has nothing of the bar behind it. */
static void set_reach(struct fit *fit)
{
    const struct passo_passage *passage = fit->passage;
    const struct passo_place to = passage->context.to;
    const int32_t context_last = to.bar - (to.at.num <= 0);
    const struct passo_place end = {passage->first_bar + passage->bars, nothing()};
    const struct passo_ratio context_from = passo_notes_at(passage, passage->context.from);
    const struct passo_ratio context_to = passo_notes_at(passage, to);
    fit->from = passo_ratio_sub(nothing(), passage->pickup);
    fit->to = passo_notes_at(passage, end);
    fit->first_bar = passage->first_bar - (passage->pickup.num > 0);
    fit->last_bar = passage->first_bar + passage->bars - 1;
    if (passo_ratio_cmp(context_from, fit->from) < 0)
        fit->from = context_from;
    if (passo_ratio_cmp(context_to, fit->to) > 0)
        fit->to = context_to;
    if (passage->context.from.bar < fit->first_bar)
        fit->first_bar = passage->context.from.bar;
    if (context_last > fit->last_bar)
        fit->last_bar = context_last;
}

static bool check_bar(const struct fit *fit, const struct passo_score_bar *at,
                      struct passo_ratio length, int32_t bar)
{
    const struct passo_meter *meter = passo_passage_meter(fit->passage, bar);
    const struct passo_ratio wants = passo_meter_length(meter);
    if (passo_ratio_cmp(length, wants) > 0 && passo_ratio_cmp(length_of(at), wants) == 0)
        return FIT_FAULT(
            fit, "bar %d of the notes comes to %lld/%lld, and its meter asks for %d/%d", at->number,
            (long long)length.num, (long long)length.den, meter->count, meter->unit);
    if (passo_ratio_cmp(length_of(at), wants) != 0 && passo_ratio_cmp(length, wants) != 0)
        return FIT_FAULT(fit, "bar %d of the notes is in %d/%d, and bar %d of the passage in %d/%d",
                         at->number, at->meter.count, at->meter.unit, bar, meter->count,
                         meter->unit);
    return true;
}

/* The first note at or behind a place of the score. */
static size_t note_from(const struct passo_score *score, struct passo_ratio at)
{
    size_t low = 0;
    size_t high = score->notes;
    while (low < high) {
        const size_t middle = low + (high - low) / 2;
        if (passo_ratio_cmp(score->note[middle].at, at) < 0)
            low = middle + 1;
        else
            high = middle;
    }
    return low;
}

/* The notes that begin in [begin, end) of the score, moved so that `begin` comes to `line`. */
static bool take_notes(const struct fit *fit, struct passo_ratio begin, struct passo_ratio end,
                       struct passo_ratio line)
{
    const struct passo_score *score = fit->score;
    struct passo_notes *out = fit->out;
    for (size_t i = note_from(score, begin); i < score->notes; i++) {
        struct passo_note note = score->note[i];
        if (passo_ratio_cmp(note.at, end) >= 0)
            break;
        note.at = passo_ratio_add(line, passo_ratio_sub(note.at, begin));
        if (passo_ratio_cmp(note.at, fit->from) < 0 || passo_ratio_cmp(note.at, fit->to) >= 0)
            continue;
        if (out->notes == PASSO_NOTES_MAX)
            return FIT_FAULT(fit, "the passage has more than %d notes", PASSO_NOTES_MAX);
        note.pitch = passo_pitch_move(note.pitch, fit->written);
        out->note[out->notes++] = note;
    }
    return true;
}

/* One bar of the passage, from the score's bar `at`, in one share or two. Bars of the context alone
 * may be missing. */
static bool take_bar(const struct fit *fit, size_t *at, int32_t bar, struct passo_ratio line,
                     struct passo_ratio wants)
{
    const struct passo_score_bar *first = &fit->score->bar[*at];
    const size_t last = *at + is_parted(fit->score, *at);
    const struct passo_ratio end =
        passo_ratio_add(fit->score->bar[last].at, fit->score->bar[last].length);
    const struct passo_ratio length = passo_ratio_sub(end, first->at);
    *at = last + 1;
    if (!check_bar(fit, first, length, bar))
        return false;
    if (first->pickup)
        line = passo_ratio_add(line, passo_ratio_sub(wants, length));
    return take_notes(fit, first->at, end, line);
}

static bool take_bars(const struct fit *fit, size_t at, int32_t bar)
{
    const struct passo_score *score = fit->score;
    const struct passo_passage *passage = fit->passage;
    /* Back to where the score or what is taken begins. */
    while (bar > fit->first_bar && at > 0) {
        at -= at > 1 && is_parted(score, at - 2) ? 2 : 1;
        bar--;
    }
    if (bar > passage->first_bar)
        return FIT_FAULT(fit, "the notes begin at bar %d of the passage, which begins at bar %d",
                         bar, passage->first_bar);
    struct passo_ratio line = passo_notes_at(passage, (struct passo_place){bar, nothing()});
    for (; bar <= fit->last_bar && at < score->bars; bar++) {
        const struct passo_ratio wants = passo_meter_length(passo_passage_meter(passage, bar));
        if (bar < fit->first_bar)
            at += 1 + is_parted(score, at);
        else if (!take_bar(fit, &at, bar, line, wants))
            return false;
        line = passo_ratio_add(line, wants);
    }
    if (bar < passage->first_bar + passage->bars)
        return FIT_FAULT(fit, "the notes end before bar %d; the passage goes on to bar %d", bar,
                         passage->first_bar + passage->bars - 1);
    if (!fit->out->notes)
        return FIT_FAULT(fit, "there is no note in the passage's bars");
    return true;
}

enum passo_error passo_score_fit(const struct passo_score *score, int32_t number,
                                 const struct passo_passage *passage, int32_t bar,
                                 int16_t transposition, struct passo_notes *out_notes,
                                 char *out_fault, size_t fault_bytes)
{
    struct fit fit = {.score = score,
                      .passage = passage,
                      .out = out_notes,
                      .fault = out_fault,
                      .fault_bytes = fault_bytes};
    size_t at = 0;
    bool fine = true;
    out_notes->notes = 0;
    if (fault_bytes)
        out_fault[0] = '\0';
    if (score->sounding) {
        const struct passo_interval sounds = passo_interval_of(transposition);
        fit.written = (struct passo_interval){(int8_t)-sounds.fifths, (int16_t)-sounds.semitones};
    }
    set_reach(&fit);
    if (!find_bar(score, number, &at))
        fine = score->bars
                   ? FIT_FAULT(&fit, "the notes have no bar %d; theirs are bars %d to %d", number,
                               score->bar[0].number, score->bar[score->bars - 1].number)
                   : FIT_FAULT(&fit, "there are no notes");
    if (fine && take_bars(&fit, at, bar))
        return PASSO_OK;
    out_notes->notes = 0;
    return PASSO_ERR_RANGE;
}
