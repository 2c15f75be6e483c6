/* The passes that were played, the events that the ladder is replayed from, and the CSV's rows. A
 * row is written when the window of its pass has closed; a mark changed later by an undo gives one
 * more row for that pass, marked `changed`: rows are never rewritten. */
#include "climb_priv.h"

#include "session/words.h"
#include "text/notation.h"

/* Room for one more of `count`, doubled where it is used up: a long script adds many. */
static void *with_room(void *at, size_t count, size_t bytes)
{
    bool full = (count & (count - 1)) == 0;
    return full ? passo_xrealloc(at, (count ? 2 * count : 1) * bytes) : at;
}

static void add_event(struct climb *climb, struct passo_ladder_event event, ptrdiff_t record)
{
    climb->event = with_room(climb->event, climb->events, sizeof *climb->event);
    climb->event_record =
        with_room(climb->event_record, climb->events, sizeof *climb->event_record);
    climb->event[climb->events] = event;
    climb->event_record[climb->events] = record;
    climb->events++;
}

struct record *record_add(struct climb *climb, enum passo_mark mark, struct passo_instant end,
                          bool broken_off)
{
    const struct pass *pass = &climb->pass;
    struct record record = {.plan = pass->plan,
                            .number = (uint32_t)climb->records + 1,
                            .mark = mark,
                            .changed = pass->changed,
                            .miss_bar = mark == PASSO_MARK_MISS ? pass->miss_bar : INT32_MIN,
                            .broken_off = broken_off,
                            .open = true};
    int64_t start_ns =
        passo_instant_ns(passo_instant_sub(pass->start, climb->epoch), climb->rate_hz);
    record.time_ns = climb->wall_epoch_ns + start_ns;
    record.ended_ns = climb_elapsed_ns(climb, end);
    record.elapsed_ns = record.ended_ns;
    keep_begin(climb);
    if (passo_instant_cmp(end, pass->body) > 0)
        record.play_ns = passo_instant_ns(passo_instant_sub(end, pass->body), climb->rate_hz);
    if (!climb->setup->plays)
        climb->played_ns += record.play_ns;
    climb->record = with_room(climb->record, climb->records, sizeof *climb->record);
    climb->record[climb->records] = record;
    struct passo_ladder_event event = {.type = PASSO_LADDER_PASS,
                                       .mark = mark,
                                       .part = pass->plan.part,
                                       .rung = pass->plan.rung,
                                       .turn = pass->plan.turn,
                                       .stage = pass->plan.stage,
                                       .elapsed_ms = record.ended_ns / 1000000,
                                       .played_ms = climb->played_ns / 1000000};
    add_event(climb, event, (ptrdiff_t)climb->records);
    return &climb->record[climb->records++];
}

void record_hand(struct climb *climb, enum passo_event_type type)
{
    struct passo_instant now = {climb->now, 0};
    struct passo_ladder_event event = {.type = type,
                                       .stage = climb->state.stage,
                                       .elapsed_ms = climb_elapsed_ns(climb, now) / 1000000};
    add_event(climb, event, -1);
    if (type == PASSO_LADDER_QUIT)
        return;
    keep_begin(climb);
    keep_hand(climb, &event);
}

void record_restore(struct climb *climb, const struct record *record,
                    const struct passo_ladder_event *event)
{
    add_event(climb, *event, record ? (ptrdiff_t)climb->records : -1);
    if (!record)
        return;
    climb->record = with_room(climb->record, climb->records, sizeof *climb->record);
    climb->record[climb->records++] = *record;
}

/* The player's stop shows in the last row, but takes no move away from it. */
static void end_by_hand(struct record *record)
{
    enum passo_move move = record->decision.move;
    if (move != PASSO_MOVE_HELD && move != PASSO_MOVE_NONE)
        return;
    record->decision.move = PASSO_MOVE_STOPPED;
    record->next_mbpm = 0;
}

void record_changed(struct climb *climb, const struct record *record)
{
    size_t index = (size_t)(record - climb->record);
    if (index < climb->rows_from)
        climb->rows_from = index;
    for (size_t i = climb->events; i-- > 0;) {
        if (climb->event_record[i] != (ptrdiff_t)index)
            continue;
        if (i < climb->replay_from)
            climb->replay_from = i;
        return;
    }
}

/* The pass that an event belongs to: its own, or of a hand's the one before it. */
static struct record *record_of_event(struct climb *climb, size_t event)
{
    while (climb->event_record[event] < 0) {
        if (event-- == 0)
            return NULL;
    }
    return &climb->record[climb->event_record[event]];
}

/* Keeps what an event did with its pass. */
static void keep_decision(struct climb *climb, size_t event, const struct passo_decision *decision)
{
    struct record *record = record_of_event(climb, event);
    /* More time is no move: what the pass before it did stands. */
    if (!record || climb->event[event].type == PASSO_LADDER_EXTEND)
        return;
    if (climb->event[event].type == PASSO_LADDER_QUIT) {
        end_by_hand(record);
        return;
    }
    struct passo_plan next = passo_course_next(climb->course, &climb->state);
    record->next_mbpm = next.part == PASSO_PART_DONE ? 0 : next.mbpm;
    if (climb->event_record[event] >= 0)
        record->decision = *decision;
    else
        record->decision.move = decision->move;
}

struct passo_decision record_replay(struct climb *climb)
{
    struct passo_decision decision = {0};
    size_t from = climb->replay_from;
    if (from + 1 == climb->events && from == climb->before_last_at && from > 0) {
        climb->state = climb->before_last;
    } else if (from < climb->events && from <= climb->before_last_at) {
        passo_course_begin(climb->course, &climb->state);
        from = 0;
    }
    for (size_t i = from; i < climb->events; i++) {
        ptrdiff_t index = climb->event_record[i];
        if (index >= 0)
            climb->event[i].mark = climb->record[index].mark;
        if (i + 1 == climb->events) {
            climb->before_last = climb->state;
            climb->before_last_at = i;
        }
        decision = passo_course_apply(climb->course, &climb->state, &climb->event[i]);
        keep_decision(climb, i, &decision);
    }
    climb->replay_from = climb->events;
    return decision;
}

static const char *marked_by(const struct record *record)
{
    if (record->corrected || record->changed)
        return "changed";
    if (record->mark == PASSO_MARK_NONE)
        return record->decision.assumed ? "assumed" : "";
    return record->broken_off ? "" : "key";
}

/* An assumed mark is logged as what it was taken for. */
static enum passo_mark mark_of(const struct climb *climb, const struct record *record)
{
    if (!record->decision.assumed)
        return record->mark;
    return climb->course->stage[record->plan.stage].rule.unmarked == PASSO_UNMARKED_CLEAN
               ? PASSO_MARK_CLEAN
               : PASSO_MARK_MISS;
}

void record_row(const struct climb *climb, const struct record *record, struct row_room *room,
                struct passo_row *out_row)
{
    const struct passo_loop *loop = passo_plan_loop(climb->passage, &record->plan);
    const struct passo_variant *variant = passo_plan_variant(climb->passage, &record->plan);
    const enum passo_extra extra =
        record->plan.part == PASSO_PART_CLIMB ? climb->setup->extra : PASSO_EXTRA_NONE;
    *out_row = (struct passo_row){
        .player = climb->setup->player,
        .session = climb->session,
        .passage = climb->passage->title,
        .piece = climb->passage->piece,
        .pass = record->number,
        .part = extra ? PASSO_PART_COUNT : record->plan.part,
        .extra = extra,
        .loop = loop->name,
        .bars = passo_words_bars(climb->passage, loop, room->bars, sizeof room->bars),
        .variant = variant->name,
        .off_pitch = variant->octave != 0,
        .beat_unit = passo_note_value_write(climb->passage->beat, room->beat, sizeof room->beat),
        .tempo_mbpm = record->plan.mbpm,
        .target_mbpm = climb->setup->setup->rule.target_mbpm,
        .mark = mark_of(climb, record),
        .marked_by = marked_by(record),
        .miss_bar = record->mark == PASSO_MARK_MISS ? record->miss_bar : INT32_MIN,
        .clean_in_a_row = record->plan.part == PASSO_PART_CLIMB ? record->decision.cleans : 0,
        .move = record->decision.move,
        .next_mbpm = record->next_mbpm,
        .play_ns = record->play_ns,
        .rest_ns = record->rest_ns,
        .elapsed_ns = record->elapsed_ns,
    };
    passo_row_time_here(out_row, record->time_ns);
}

static void write_row(struct climb *climb, struct record *record)
{
    struct row_room room;
    struct passo_row row;
    record_row(climb, record, &room, &row);
    bool failed = passo_csv_write(climb->csv, &row) != PASSO_OK;
    if (failed && !climb->csv_failed)
        climb_say(climb, PASSO_SAY_NOTICE,
                  "The CSV cannot be written: its rows wait. Is the disk full?");
    climb->csv_failed = failed;
    record->written = true;
    record->corrected = false;
}

void record_close_windows(struct climb *climb, struct passo_instant rest_end)
{
    for (size_t i = climb->rows_from; i < climb->records; i++) {
        struct record *record = &climb->record[i];
        if (record->open) {
            record->open = false;
            record->elapsed_ns = climb_elapsed_ns(climb, rest_end);
            record->rest_ns = record->elapsed_ns - climb->rest_from_ns;
            climb->rested_ns += record->rest_ns;
            keep_change(climb, PASSO_LOG_CLOSED, record);
        }
        if (climb->csv && (!record->written || record->corrected))
            write_row(climb, record);
    }
    climb->rows_from = climb->records;
}

struct record *record_for_mark(struct climb *climb)
{
    for (size_t i = 0; climb->reopened > 0 && i < climb->records; i++) {
        if (climb->record[i].reopened)
            return &climb->record[i];
    }
    if (climb->phase == PASSO_PHASE_PLAYING || climb->phase == PASSO_PHASE_LANDING)
        return NULL;
    if (climb->records == 0 || !climb->record[climb->records - 1].open)
        return NULL;
    return &climb->record[climb->records - 1];
}
