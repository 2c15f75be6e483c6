/* The notes of a passage: the score that its lines name is read before the passage is joined, since
 * what they leave unsaid of meter, bars, pickup and tempo is the score's, and laid over it when it
 * is whole. What hangs on notes and key is judged here too. */
#include "text/lines.h"
#include "text/notation.h"
#include "text/notes_lines.h"
#include "text/settings.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define ODD_TOLD_MAX 8
#define FIRST_BAR    1 /* of notes on a line */

static bool is_inline(const struct passo_line *line)
{
    return setting_id_of(line->key) == SETTING_notes;
}

const struct passo_line *tune_line(const struct passo_line *notes, const struct passo_line *from)
{
    if (!notes || !from)
        return notes ? notes : from;
    return notes->rank > from->rank ? notes : from;
}

void tune_path(const struct passo_line *line, char out[PASSO_PATH_BYTES])
{
    int length = 0;
    if (line->folder && line->value[0] != '/')
        length = snprintf(out, PASSO_PATH_BYTES, "%s/%s", line->folder, line->value);
    if (length <= 0 || length >= PASSO_PATH_BYTES)
        snprintf(out, PASSO_PATH_BYTES, "%s", line->value);
}

static struct passo_score_ask ask_of(const struct draft *draft)
{
    const struct passo_line *part = draft->line[SETTING_notes_part];
    return (struct passo_score_ask){.part = part && !is_inline(draft->tune.line) ? part->value : "",
                                    .meter = draft->setup->passage.meter,
                                    .key = draft->setup->intonation.key};
}

static bool load(struct draft *draft)
{
    char path[PASSO_PATH_BYTES];
    char fault[512];
    struct tune *tune = &draft->tune;
    const struct passo_score_ask ask = ask_of(draft);
    enum passo_error error;
    if (is_inline(tune->line)) {
        error = passo_abc_read(tune->line->value, strlen(tune->line->value), &ask, &tune->score,
                               fault, sizeof fault);
    } else {
        tune_path(tune->line, path);
        error = passo_score_load(path, &ask, &tune->score, fault, sizeof fault);
    }
    if (error)
        notes_lines_fault(draft->faults, tune->line, fault);
    else if (!tune->score.bars)
        lines_fault(draft->faults, tune->line, "there are no notes in this");
    return !error && tune->score.bars > 0;
}

/* What the score's numbers are from the printed ones. */
static int32_t printed(const struct tune *tune, int32_t number)
{
    return number - tune->first + tune->bar;
}

/* Whether the short first bar of a line is no pickup: with it there are no more bars than the
 * passage has. */
static bool is_short_bar(const struct draft *draft)
{
    const struct tune *tune = &draft->tune;
    return is_inline(tune->line) && !tune->bar_said && tune->score.bar[0].pickup &&
           !draft->line[SETTING_pickup] && draft->line[SETTING_bars] &&
           tune->score.bars <= (size_t)draft->setup->passage.bars;
}

/* Which printed bars they are: a file of its own has its own numbers, on a line bar 1 is the
 * passage's first. */
static void find_bar(struct draft *draft)
{
    struct tune *tune = &draft->tune;
    struct passo_score_bar *bar = &tune->score.bar[0];
    const bool is_short = is_short_bar(draft);
    bar->pickup = bar->pickup && !is_short;
    tune->first = bar->number + (bar->pickup && tune->score.bars > 1);
    if (tune->bar_said)
        return;
    if (is_inline(tune->line) && !is_short)
        tune->first = FIRST_BAR;
    tune->bar = is_inline(tune->line) ? draft->setup->passage.first_bar : tune->first;
}

static void take_bars(struct draft *draft)
{
    struct tune *tune = &draft->tune;
    struct passo_passage *passage = &draft->setup->passage;
    const int32_t last = tune->score.bar[tune->score.bars - 1].number;
    const int32_t bars = last - tune->first + 1;
    if (draft->line[SETTING_bars])
        return;
    passage->first_bar = tune->bar;
    passage->bars = bars > 1 ? bars : 1;
    if (passage->bars <= PASSO_BARS_MAX && tune->bar >= -PASSO_BAR_MAX &&
        tune->bar <= PASSO_BAR_MAX - passage->bars)
        return;
    snprintf(draft->hint, sizeof draft->hint,
             "there are %d bars in this; say which are the passage: bars = 33-36", (int)bars);
    lines_fault(draft->faults, tune->line, draft->hint);
    draft->bad[SETTING_bars] = true;
}

/* The score's bar of a printed number, or NULL. */
static const struct passo_score_bar *bar_of(const struct tune *tune, int32_t bar)
{
    for (size_t i = 0; i < tune->score.bars; i++)
        if (printed(tune, tune->score.bar[i].number) == bar)
            return &tune->score.bar[i];
    return NULL;
}

/* The meter of the first bar, and the changes, where the passage says none of its own. */
static void take_meters(struct draft *draft)
{
    const struct tune *tune = &draft->tune;
    struct passo_passage *passage = &draft->setup->passage;
    const struct passo_score_bar *bar = bar_of(tune, passage->first_bar);
    if (bar && !draft->line[SETTING_meter])
        passage->meter = bar->meter;
    if (!bar || passage->changes)
        return;
    const struct passo_meter *meter = &bar->meter;
    for (; bar < tune->score.bar + tune->score.bars; bar++) {
        const int32_t at = printed(tune, bar->number);
        if (passo_meter_same(&bar->meter, meter) || at <= passage->first_bar)
            continue;
        if (at >= passage->first_bar + passage->bars)
            return;
        if (passage->changes == PASSO_CHANGES_MAX) {
            lines_fault(draft->faults, tune->line,
                        "the meter changes too often; 64 times would do");
            draft->bad_meters = true;
            return;
        }
        meter = &bar->meter;
        draft->change_line[passage->changes] = tune->line;
        passage->change[passage->changes++] =
            (struct passo_meter_change){.bar = at, .meter = *meter};
    }
}

static void take_pickup(struct draft *draft)
{
    const struct tune *tune = &draft->tune;
    struct passo_passage *passage = &draft->setup->passage;
    const struct passo_score_bar *bar = &tune->score.bar[0];
    if (!draft->line[SETTING_pickup] && bar->pickup && tune->score.bars > 1 &&
        tune->bar == passage->first_bar)
        passage->pickup = bar->length;
}

/* The tempo in force where the passage begins is the target, unless one is said. */
static void take_tempo(struct draft *draft)
{
    struct tune *tune = &draft->tune;
    const struct passo_score_bar *bar = bar_of(tune, draft->setup->passage.first_bar);
    if (draft->line[SETTING_target] || draft->rule->steps == PASSO_STEPS_LIST)
        return;
    for (size_t i = 0; i < tune->score.tempi; i++)
        if (!i || (bar && passo_ratio_cmp(tune->score.tempo[i].at, bar->at) <= 0))
            tune->tempo = tune->score.tempo[i];
}

static void fault_both(struct draft *draft)
{
    char hint[PASSO_PATH_BYTES + 96];
    const struct passo_line *notes = draft->line[SETTING_notes];
    const char *place = strstr(notes->origin, ", line ");
    snprintf(hint, sizeof hint, "the notes are said already (%s); one of the two would do",
             place ? place + 2 : notes->origin);
    lines_fault(draft->faults, draft->line[SETTING_notes_from], hint);
}

/* What belongs to notes, and there are none. */
static void fault_none(struct draft *draft)
{
    static const enum setting_id belongs[] = {SETTING_notes_bar, SETTING_notes_part};
    for (size_t i = 0; i < sizeof belongs / sizeof *belongs; i++)
        if (draft->line[belongs[i]] && !draft->bad[belongs[i]])
            lines_fault(
                draft->faults, draft->line[belongs[i]],
                "there are no notes that this could be of; say them: notes = E2 F2 | G4, or "
                "notes-from = FILE");
}

void tune_read(struct draft *draft)
{
    struct tune *tune = &draft->tune;
    const struct passo_line *notes = draft->line[SETTING_notes];
    const struct passo_line *from = draft->line[SETTING_notes_from];
    tune->line = tune_line(notes, from);
    if (!tune->line) {
        fault_none(draft);
        return;
    }
    if (notes && from && notes->rank == from->rank) {
        fault_both(draft);
        return;
    }
    const struct passo_line *part = draft->line[SETTING_notes_part];
    if (part && is_inline(tune->line) && part->rank == tune->line->rank)
        lines_fault(draft->faults, part, "parts are those of a file: notes-from = FILE");
    /* What would be read in a wrong meter or laid over wrong bars is not read. */
    if (draft->bad[SETTING_meter] || draft->bad_meters || draft->bad[SETTING_bars] ||
        draft->bad[SETTING_notes_bar] || draft->bad[setting_id_of(tune->line->key)])
        return;
    tune->good = load(draft);
    if (!tune->good)
        return;
    find_bar(draft);
    take_bars(draft);
    take_meters(draft);
    take_pickup(draft);
    take_tempo(draft);
    if (tune->score.transposes && !draft->transposes)
        draft->setup->intonation.transposition = tune->score.transposition;
}

/* A line of music without a meter of its own goes by the passage's. */
static void take_passage_meters(struct draft *draft)
{
    struct tune *tune = &draft->tune;
    if (!is_inline(tune->line) || strstr(tune->line->value, "M:"))
        return;
    for (size_t i = 0; i < tune->score.bars; i++)
        tune->score.bar[i].meter =
            *passo_passage_meter(&draft->setup->passage, printed(tune, tune->score.bar[i].number));
}

/* A length in the notes of the meter: 7/8 where the meter is 4/8. */
static void write_length(struct passo_ratio length, const struct passo_meter *meter, char *out,
                         size_t bytes)
{
    const struct passo_ratio notes = passo_ratio_mul(length, passo_ratio(meter->unit, 1));
    if (notes.den == 1)
        snprintf(out, bytes, "%lld/%d", (long long)notes.num, meter->unit);
    else
        snprintf(out, bytes, "%lld/%lld", (long long)length.num, (long long)length.den);
}

/* A fault of a bar: where it stands, of notes over several lines. */
static void fault_bar(struct draft *draft, int32_t number, const char *fault)
{
    const struct passo_score_ask ask = ask_of(draft);
    if (is_inline(draft->tune.line))
        notes_lines_fault_bar(draft->faults, draft->tune.line, &ask, number, fault);
    else
        lines_fault(draft->faults, draft->tune.line, fault);
}

static void fault_odd(struct draft *draft, const struct passo_score_odd *odd)
{
    char meter_text[192];
    char length[64];
    const int32_t bar = printed(&draft->tune, odd->number);
    const struct passo_score_bar *odd_bar = bar_of(&draft->tune, bar);
    const struct passo_meter *meter = &odd_bar->meter;
    write_length(odd->has, meter, length, sizeof length);
    snprintf(draft->hint, sizeof draft->hint, "bar %d has %s of notes, and %s is written", (int)bar,
             length, passo_meter_write(meter, meter_text, sizeof meter_text));
    fault_bar(draft, odd->number, draft->hint);
}

/* The last bar may be short where the passage ends with it; else it is told before that the notes
 * end too early. */
static bool ends_short(const struct draft *draft, struct passo_score_odd *out_odd)
{
    const struct passo_passage *passage = &draft->setup->passage;
    const struct passo_score *score = &draft->tune.score;
    const struct passo_score_bar *last = &score->bar[score->bars - 1];
    const int32_t bar = printed(&draft->tune, last->number);
    const bool shared = score->bars > 1 && last[-1].number == last->number;
    *out_odd =
        (struct passo_score_odd){last->number, last->length, passo_meter_length(&last->meter)};
    return !shared && !last->pickup && bar < passage->first_bar + passage->bars - 1 &&
           passo_ratio_cmp(out_odd->has, out_odd->wants) < 0;
}

/* The bars of the passage that do not add up; others are not looked at. */
static void judge_bars(struct draft *draft)
{
    struct tune *tune = &draft->tune;
    const struct passo_passage *passage = &draft->setup->passage;
    struct passo_score_odd *odd = passo_xcalloc(tune->score.bars + 1, sizeof *odd);
    size_t odds = passo_score_odds(&tune->score, odd, tune->score.bars);
    odds += ends_short(draft, &odd[odds]);
    size_t told = 0;
    for (size_t i = 0; i < odds; i++) {
        const int32_t bar = printed(tune, odd[i].number);
        if (bar < passage->first_bar || bar >= passage->first_bar + passage->bars)
            continue;
        tune->good = false;
        if (told++ < ODD_TOLD_MAX)
            fault_odd(draft, &odd[i]);
    }
    if (told > ODD_TOLD_MAX) {
        snprintf(draft->hint, sizeof draft->hint, "%zu more bars do not add up",
                 told - ODD_TOLD_MAX);
        lines_fault(draft->faults, tune->line, draft->hint);
    }
    free(odd);
}

/* Neither a table, nor a line, nor the score tells how what is named transposes. */
static bool is_unknown_instrument(const struct draft *draft)
{
    return draft->setup->passage.instrument[0] && !draft->transposes &&
           !draft->tune.score.transposes;
}

static void judge_intonation(struct draft *draft)
{
    const struct passo_intonation *intonation = &draft->setup->intonation;
    const bool rooted =
        intonation->drone == PASSO_DRONE_ROOT || intonation->drone == PASSO_DRONE_ROOT_AND_FIFTH;
    if (rooted && !intonation->keyed && !draft->bad[SETTING_key])
        lines_fault(draft->faults, draft->line[SETTING_drone],
                    draft->line[SETTING_key]
                        ? "the root is the key's, and what key = says is no key; E-flat major "
                          "would do"
                        : "the root is the key's, and no key is said; say it: key = E-flat major");
    if (intonation->hear != PASSO_HEAR_OFF && !draft->tune.line)
        lines_fault(draft->faults, draft->line[SETTING_hear],
                    "there are no notes to hear; say them: notes = E2 F2 | G4, or notes-from = "
                    "FILE");
}

void tune_join(struct draft *draft)
{
    if (draft->tune.good && draft->joined) {
        take_passage_meters(draft);
        judge_bars(draft);
    }
    draft->setup->intonation.unknown_instrument = is_unknown_instrument(draft);
    judge_intonation(draft);
}

void tune_fit(struct draft *draft)
{
    char fault[512];
    struct passo_setup *setup = draft->setup;
    const struct tune *tune = &draft->tune;
    if (!tune->good)
        return;
    const int32_t bar = setup->passage.first_bar;
    if (passo_score_fit(&tune->score, bar - tune->bar + tune->first, &setup->passage, bar,
                        setup->intonation.transposition, &setup->notes, fault, sizeof fault))
        lines_fault(draft->faults, tune->line, fault);
}
