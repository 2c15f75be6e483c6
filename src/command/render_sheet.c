/* The cue sheet: what the conductor hands over becomes rows while it plays dry. The frames are
 * those of the file, as the first timeline of a track begins on frame 0. Runs on the main thread.
 */
#include "command/render_parts.h"

#include <inttypes.h>
#include <stdio.h>
#include <string.h>
#include "store/csv.h"
#include "text/notation.h"

/* Room grows by doubling. */
static struct render_row *add(struct render_sheet *sheet, enum render_cue cue, int64_t frame,
                              const struct render_row *like)
{
    const size_t rows = sheet->rows;
    if ((rows & (rows - 1)) == 0)
        sheet->row = passo_xrealloc(sheet->row, (rows ? 2 * rows : 1) * sizeof *sheet->row);
    struct render_row *row = &sheet->row[sheet->rows++];
    *row = *like;
    row->cue = cue;
    row->frame = frame;
    return row;
}

/* The bar in which the events from here on lie; 0: no beat comes. */
static int32_t bar_from(const struct passo_timeline *timeline, size_t at)
{
    for (; at < timeline->events; at++)
        if (passo_event_is_beat(&timeline->event[at]))
            return timeline->event[at].bar;
    return 0;
}

/* Count-in, bars and landing of a pass. */
static void add_bars(struct render_sheet *sheet, const struct passo_timeline *timeline, bool heard,
                     const struct render_row *like)
{
    bool played = false;
    int32_t bar = 0;
    const int64_t start = timeline->start.frame;
    add(sheet, heard ? RENDER_CUE_LISTEN_COUNT_IN : RENDER_CUE_COUNT_IN, start, like);
    for (size_t i = 0; i < timeline->events; i++) {
        const struct passo_event *event = &timeline->event[i];
        if (event->kind == PASSO_EVENT_LAND) {
            add(sheet, heard ? RENDER_CUE_LISTEN_LANDING : RENDER_CUE_LANDING, start + event->frame,
                like);
            return;
        }
        const bool begins = event->kind == PASSO_EVENT_BODY;
        if (!begins && !(played && passo_event_is_beat(event) && event->bar != bar))
            continue;
        bar = begins ? bar_from(timeline, i) : event->bar;
        played = true;
        add(sheet, heard ? RENDER_CUE_LISTEN : RENDER_CUE_BAR, start + event->frame, like)->bar =
            bar;
    }
}

/* "run up, octave down"; of a block its key and its name. */
static void write_turn(const struct passo_setup *setup, const struct passo_plan *plan, char *out,
                       size_t bytes)
{
    const struct passo_passage *passage = &setup->passage;
    char turn[2 * PASSO_TEXT_MAX + 8];
    if (setup->course.stage[0].rule.climbs == PASSO_CLIMBS_BLOCK)
        snprintf(turn, sizeof turn, "%s%s%s", passage->title, passage->piece[0] ? ", " : "",
                 passage->piece);
    else
        snprintf(turn, sizeof turn, "%s, %s", passo_plan_loop(passage, plan)->name,
                 passo_plan_variant(passage, plan)->name);
    passo_text_clean(turn, out, bytes);
}

/* Nothing of its pulse is to be heard. */
static bool is_unheard(const struct passo_setup *setup)
{
    return setup->pulse.silent == (1u << PASSO_CLICK_COUNT_OF) - 1;
}

/* A tone ends with the landing's last frame. */
static bool rings(const struct passo_timeline *timeline)
{
    const size_t events = timeline->events;
    for (size_t i = 0; i < events; i++)
        if (timeline->event[i].kind == PASSO_EVENT_TONE_OFF &&
            timeline->event[i].frame == timeline->event[events - 1].frame)
            return true;
    return false;
}

/* What comes after a pass is a rest; after the last one it is the end. */
static void end_pass(struct render_sheet *sheet, const struct passo_plan *plan,
                     const struct passo_timeline *timeline, const struct render_row *like)
{
    const struct render_row nothing = {.cue = RENDER_CUE_END, .beat = like->beat};
    sheet->end_frame = passo_instant_frame(timeline->end);
    sheet->rings = rings(timeline);
    sheet->passes++;
    if (sheet->low_mbpm == 0 || plan->mbpm < sheet->low_mbpm)
        sheet->low_mbpm = plan->mbpm;
    if (plan->mbpm > sheet->high_mbpm)
        sheet->high_mbpm = plan->mbpm;
    sheet->beat = like->beat;
    add(sheet, RENDER_CUE_END, sheet->end_frame, &nothing);
}

void render_sheet_take(void *user, enum passo_handed what, const struct passo_setup *setup,
                       const struct passo_plan *plan, uint32_t pass,
                       const struct passo_timeline *timeline)
{
    struct render_sheet *sheet = user;
    struct render_row like = {.mbpm = plan->mbpm, .beat = setup->passage.beat, .pass = pass};
    const size_t rows = sheet->rows;
    if (rows && sheet->row[rows - 1].cue == RENDER_CUE_END)
        sheet->row[rows - 1].cue = RENDER_CUE_REST;
    sheet->rate_hz = timeline->rate_hz;
    write_turn(setup, plan, like.turn, sizeof like.turn);
    switch (what) {
    case PASSO_HANDED_HEARING:
        add_bars(sheet, timeline, true, &like);
        break;
    case PASSO_HANDED_START:
        add(sheet, RENDER_CUE_START, timeline->start.frame, &like);
        break;
    case PASSO_HANDED_PASS:
        if (is_unheard(setup))
            add(sheet, RENDER_CUE_FREE, timeline->start.frame, &like)->mbpm = 0;
        else
            add_bars(sheet, timeline, false, &like);
        end_pass(sheet, plan, timeline, &like);
        break;
    }
}

/* --- as text --- */

static void write_what(const struct render_row *row, char *out, size_t bytes)
{
    static const char *const words[RENDER_CUE_COUNT] = {
        [RENDER_CUE_LISTEN_COUNT_IN] = "listen, count-in",
        [RENDER_CUE_LISTEN] = "listen",
        [RENDER_CUE_LISTEN_LANDING] = "listen, landing",
        [RENDER_CUE_START] = "starting note",
        [RENDER_CUE_COUNT_IN] = "count-in",
        [RENDER_CUE_BAR] = "",
        [RENDER_CUE_LANDING] = "landing",
        [RENDER_CUE_FREE] = "free",
        [RENDER_CUE_REST] = "rest",
        [RENDER_CUE_END] = "end"};
    const char *what = words[row->cue];
    if (row->pass)
        snprintf(out, bytes, "pass %" PRIu32 "%s%s", row->pass, *what ? ", " : "", what);
    else
        snprintf(out, bytes, "%s", what);
}

static int64_t thousandths(const struct render_sheet *sheet, int64_t frame)
{
    return (frame * 1000 + sheet->rate_hz / 2) / sheet->rate_hz;
}

static void write_csv_row(const struct render_sheet *sheet, const struct render_row *row, FILE *to)
{
    char what[64];
    char bar[16] = "";
    char tempo[32] = "";
    char unit[PASSO_NAME_MAX] = "";
    char cell[2 * sizeof row->turn + 8];
    const int64_t ms = thousandths(sheet, row->frame);
    if (row->cue == RENDER_CUE_BAR || row->cue == RENDER_CUE_LISTEN)
        snprintf(bar, sizeof bar, "%" PRId32, row->bar);
    if (row->mbpm) {
        passo_bpm_write(row->mbpm, tempo, sizeof tempo);
        passo_note_value_write(row->beat, unit, sizeof unit);
    }
    write_what(row, what, sizeof what);
    fprintf(to, "%" PRId64 ".%03d,%" PRId64 ",%s,%s,%s,%s,", ms / 1000, (int)(ms % 1000),
            row->frame, bar, tempo, unit, passo_csv_cell(row->turn, cell, sizeof cell));
    fprintf(to, "%s\r\n", passo_csv_cell(what, cell, sizeof cell));
}

static void write_line(const struct render_sheet *sheet, const struct render_row *row, FILE *to)
{
    char what[64];
    char bar[24] = "";
    char tempo[PASSO_NAME_MAX + 24] = "";
    const int64_t ms = thousandths(sheet, row->frame);
    if (row->cue == RENDER_CUE_BAR || row->cue == RENDER_CUE_LISTEN)
        snprintf(bar, sizeof bar, ", bar %" PRId32, row->bar);
    if (row->mbpm)
        passo_tempo_write(row->mbpm, row->beat, tempo, sizeof tempo);
    write_what(row, what, sizeof what);
    fprintf(to, "%3" PRId64 ":%02d.%03d  %s%s%s%s%s%s\n", ms / 60000, (int)(ms / 1000 % 60),
            (int)(ms % 1000), what, bar, *tempo ? "  " : "", tempo, *row->turn ? "  " : "",
            row->turn);
}

bool render_sheet_write(const struct render_sheet *sheet, bool csv, FILE *to)
{
    if (csv)
        fputs("time_s,frame,bar,tempo,beat_unit,turn,what\r\n", to);
    for (size_t i = 0; i < sheet->rows; i++) {
        if (csv)
            write_csv_row(sheet, &sheet->row[i], to);
        else
            write_line(sheet, &sheet->row[i], to);
    }
    return fflush(to) == 0 && !ferror(to);
}
