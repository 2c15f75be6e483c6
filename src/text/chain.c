/* Chains: loops made by a rule, from the front, from the end, in halves or in pieces. Everything is
 * counted in steps of bars or of beats; a step's place is found by walking the bars, so that a
 * meter change or a beat that does not fill its bar moves nothing. A pickup belongs to the first
 * chunk, and the whole passage, which is always there, comes last. A loop of the player's own that
 * has the name of a made one stands in its place. */
#include "text/scan.h"
#include "text/settings.h"

#include <stdio.h>
#include <string.h>
#include <strings.h>

#define PART_MAX  64
#define STEPS_MAX 1000000

enum direction { FORWARD, BACKWARD, HALVES, PIECES };

/* A chain as written. */
struct plan {
    enum direction direction;
    bool by_beat;
    int64_t step;      /* bars or beats to a chunk, or to a piece */
    int64_t overlap;   /* HALVES, PIECES: so much earlier begins the later piece; 0: the landing */
    bool overlap_bars; /* ... in bars, else in beats */
};

void chain_prepare(struct draft *draft)
{
    const struct passo_passage *passage = &draft->setup->passage;
    for (int32_t i = 0; i < passage->bars; i++) {
        const struct passo_meter *meter = passo_passage_meter(passage, passage->first_bar + i);
        struct passo_ratio beats = passo_ratio_div(passo_meter_length(meter), passage->beat);
        int64_t filled = -passo_ratio_floor(passo_ratio(-beats.num, beats.den));
        draft->beats_before[i + 1] = draft->beats_before[i] + (int32_t)filled;
    }
}

/* Bars or beats of the passage before its bar number `bar` (from 0). */
static int64_t steps_before(const struct draft *draft, int32_t bar, bool by_beat)
{
    return by_beat ? draft->beats_before[bar] : bar;
}

static int64_t count_steps(const struct draft *draft, bool by_beat)
{
    return steps_before(draft, draft->setup->passage.bars, by_beat);
}

/* Where step number `step` begins, from 0; the last one's end is the number of steps. */
static struct passo_place step_place(const struct draft *draft, int64_t step, bool by_beat)
{
    const struct passo_passage *passage = &draft->setup->passage;
    int32_t bar = 0;
    while (bar < passage->bars && steps_before(draft, bar + 1, by_beat) <= step)
        bar++;
    struct passo_ratio beats = passo_ratio(step - steps_before(draft, bar, by_beat), 1);
    return (struct passo_place){passage->first_bar + bar, passo_ratio_mul(passage->beat, beats)};
}

/* The number of the beat that begins at a place. */
static int64_t beat_of(const struct draft *draft, struct passo_place place)
{
    const struct passo_passage *passage = &draft->setup->passage;
    return steps_before(draft, place.bar - passage->first_bar, true) +
           passo_ratio_floor(passo_ratio_div(place.at, passage->beat));
}

static bool same_place(struct passo_place a, struct passo_place b)
{
    return a.bar == b.bar && !passo_ratio_cmp(a.at, b.at);
}

static bool same_range(const struct passo_loop *a, const struct passo_loop *b)
{
    return same_place(a->from, b->from) && same_place(a->to, b->to);
}

/* The loop of this name and range: the player's own of that name, one made before, or a new one.
 * 0 if there is no room. Another chain's of that name and another range gets a number. */
static size_t find_or_add(struct draft *draft, const struct passo_loop *loop)
{
    struct passo_passage *passage = &draft->setup->passage;
    struct passo_loop made = *loop;
    int number = 1;
    for (size_t i = 1; i < passage->loops; i++) {
        if (strcasecmp(passage->loop[i].name, made.name))
            continue;
        if (i < draft->own_loops || same_range(&passage->loop[i], &made))
            return i;
        snprintf(made.name, sizeof made.name, "%.35s %d", loop->name, ++number);
        i = 0;
    }
    if (passage->loops == PASSO_LOOPS_MAX)
        return 0;
    passage->loop[passage->loops] = made;
    return passage->loops++;
}

static const char *too_many(struct draft *draft, const struct plan *plan, int64_t chunks)
{
    int64_t room = PASSO_LOOPS_MAX - (int64_t)draft->setup->passage.loops;
    int64_t steps = count_steps(draft, plan->by_beat);
    if (room < 1)
        return "a passage has at most 127 loops, and there are so many; leave some out";
    int64_t step = steps / (room + 1) + 1;
    snprintf(
        draft->hint, sizeof draft->hint,
        "this chain makes %lld loops, and a passage has at most 127; steps of %lld %s would do",
        (long long)chunks, (long long)step, plan->by_beat ? "beats" : "bars");
    return draft->hint;
}

/* Adds a chunk to the chain; one that is the whole passage is that, which comes last. */
static const char *add_chunk(struct draft *draft, const struct passo_loop *chunk,
                             struct chain *chain)
{
    struct passo_passage *passage = &draft->setup->passage;
    struct passo_loop whole = {
        .from = passage_beginning(passage),
        .to = {passage->first_bar + passage->bars, {0, 1}},
    };
    if (same_range(chunk, &whole))
        return NULL;
    size_t index = find_or_add(draft, chunk);
    if (!index || chain->loops >= PASSO_LOOPS_MAX - 1)
        return "all chains together make more loops than 127; longer steps would do";
    chain->loop[chain->loops++] = (uint8_t)index;
    return NULL;
}

static void name_chunk(struct passo_loop *chunk, const char *which, int64_t steps, bool by_beat)
{
    const char *unit = by_beat ? "beat" : "bar";
    if (steps == 1)
        snprintf(chunk->name, sizeof chunk->name, "%s %s", which, unit);
    else
        snprintf(chunk->name, sizeof chunk->name, "%s %lld %ss", which, (long long)steps, unit);
}

static const char *grow(struct draft *draft, const struct plan *plan, struct chain *chain)
{
    const struct passo_passage *passage = &draft->setup->passage;
    int64_t steps = count_steps(draft, plan->by_beat);
    int64_t chunks = (steps - 1) / plan->step;
    const char *fault = NULL;
    if (chunks > PASSO_LOOPS_MAX - (int64_t)passage->loops)
        return too_many(draft, plan, chunks);
    for (int64_t i = 1; i <= chunks && !fault; i++) {
        struct passo_loop chunk = {0};
        int64_t length = i * plan->step;
        bool front = plan->direction == FORWARD;
        name_chunk(&chunk, front ? "first" : "last", length, plan->by_beat);
        chunk.from =
            front ? passage_beginning(passage) : step_place(draft, steps - length, plan->by_beat);
        chunk.to = step_place(draft, front ? length : steps, plan->by_beat);
        fault = add_chunk(draft, &chunk, chain);
    }
    chain->grows = true;
    return fault;
}

/* Where a piece begins whose joint with the one before is at `joint`, a place at the beginning of a
 * beat. NULL, or what would do. */
static const char *overlap_place(const struct draft *draft, const struct plan *plan,
                                 struct passo_place joint, struct passo_place *out_from)
{
    int32_t bars = joint.bar - draft->setup->passage.first_bar;
    int64_t beat = beat_of(draft, joint);
    *out_from = joint;
    if (!plan->overlap)
        return NULL;
    if (plan->overlap >= (plan->overlap_bars ? bars : beat))
        return "the overlap reaches over all that comes before; a shorter one, or overlapping the "
               "landing, would do";
    *out_from = plan->overlap_bars ? step_place(draft, bars - plan->overlap, false)
                                   : step_place(draft, beat - plan->overlap, true);
    return NULL;
}

/* The bar before and the bar after the joint; where that would be all of the passage, the beats. */
static const char *add_seam(struct draft *draft, struct passo_place joint, struct chain *chain)
{
    const struct passo_passage *passage = &draft->setup->passage;
    bool by_beat = passage->bars <= 2;
    int64_t middle = by_beat ? beat_of(draft, joint) : joint.bar - passage->first_bar;
    struct passo_loop seam = {
        .name = "seam",
        .from = step_place(draft, middle - 1, by_beat),
        .to = step_place(draft, middle + 1, by_beat),
    };
    size_t before = chain->loops;
    const char *fault = add_chunk(draft, &seam, chain);
    draft->seam_is_whole = !fault && chain->loops == before;
    return fault;
}

static const char *halve(struct draft *draft, const struct plan *plan, struct chain *chain)
{
    const struct passo_passage *passage = &draft->setup->passage;
    bool by_beat = passage->bars == 1;
    int64_t steps = count_steps(draft, by_beat);
    if (steps < 2)
        return "a passage of one beat has no halves; two beats or more would do";
    struct passo_place joint = step_place(draft, steps / 2, by_beat);
    struct passo_loop first = {"first half", passage_beginning(passage), joint};
    struct passo_loop second = {.name = "second half", .to = step_place(draft, steps, by_beat)};
    const char *fault = overlap_place(draft, plan, joint, &second.from);
    if (!fault)
        fault = add_chunk(draft, &first, chain);
    if (!fault)
        fault = add_chunk(draft, &second, chain);
    return fault ? fault : add_seam(draft, joint, chain);
}

static const char *cut(struct draft *draft, const struct plan *plan, struct chain *chain)
{
    int64_t steps = count_steps(draft, plan->by_beat);
    int64_t pieces = (steps + plan->step - 1) / plan->step;
    const char *fault = NULL;
    if (pieces < 2)
        return "one piece is the whole passage; shorter pieces would do";
    if (pieces > PASSO_LOOPS_MAX - (int64_t)draft->setup->passage.loops)
        return too_many(draft, plan, pieces);
    for (int64_t i = 0; i < pieces && !fault; i++) {
        struct passo_loop piece = {.from = passage_beginning(&draft->setup->passage)};
        int64_t begin = i * plan->step;
        int64_t end = begin + plan->step < steps ? begin + plan->step : steps;
        snprintf(piece.name, sizeof piece.name, "piece %lld", (long long)i + 1);
        if (i)
            fault =
                overlap_place(draft, plan, step_place(draft, begin, plan->by_beat), &piece.from);
        piece.to = step_place(draft, end, plan->by_beat);
        if (!fault)
            fault = add_chunk(draft, &piece, chain);
    }
    return fault;
}

/* "1 bar", "2 beats", "beat". */
static bool read_steps_of(const char *text, int64_t *out_step, bool *out_by_beat)
{
    int64_t number = 1;
    *out_by_beat =
        scan_match(text, "beat|beats", NULL) || scan_match(text, "# beat|beats", &number);
    if (!*out_by_beat && !scan_match(text, "bar|bars", NULL) &&
        !scan_match(text, "# bar|bars", &number))
        return false;
    *out_step = number;
    return number >= 1 && number <= STEPS_MAX;
}

static bool read_direction(const char *part, struct plan *plan)
{
    const char *at = part;
    if (scan_match(part, "halves", NULL)) {
        plan->direction = HALVES;
        return true;
    }
    if (scan_word(&at, "pieces")) {
        plan->direction = PIECES;
        return scan_word(&at, "of") && read_steps_of(at, &plan->step, &plan->by_beat);
    }
    bool front = scan_word(&at, "forward");
    if (!front && !scan_word(&at, "backward"))
        return false;
    plan->direction = front ? FORWARD : BACKWARD;
    if (scan_end(&at))
        return true;
    return scan_word(&at, "by") && read_steps_of(at, &plan->step, &plan->by_beat);
}

static const char *read_overlap(const char *part, struct plan *plan)
{
    static const char wrong[] = "pieces overlap by a beat or more, or by the landing: "
                                "halves, overlapping 1 beat";
    const char *at = part;
    bool by_beat = false;
    if (plan->direction == FORWARD || plan->direction == BACKWARD)
        return "only halves and pieces overlap; forward or backward by 1 bar alone would do";
    if (!scan_word(&at, "overlapping"))
        return wrong;
    plan->overlap = 0;
    if (scan_match(at, "the landing", NULL) || scan_match(at, "landing", NULL))
        return NULL;
    if (!read_steps_of(at, &plan->overlap, &by_beat))
        return wrong;
    plan->overlap_bars = !by_beat;
    return NULL;
}

static const char *read_plan(const char *how, struct plan *plan)
{
    char part[PART_MAX];
    const char *at = how;
    *plan = (struct plan){.step = 1, .overlap = 1};
    if (!scan_part(&at, ',', part, sizeof part) || !read_direction(part, plan))
        return "a chain is forward by 1 bar, backward by beat, halves, or pieces of 2 bars, "
               "overlapping 1 beat";
    const char *fault = NULL;
    while (!fault && scan_part(&at, ',', part, sizeof part))
        fault = read_overlap(part, plan);
    return fault;
}

/* What depends on the passage waits until it is joined. */
const char *read_chain(const char *value, struct draft *draft)
{
    struct plan plan;
    (void)draft;
    return read_plan(value, &plan);
}

const char *chain_make(struct draft *draft, const char *how, struct chain *out_chain)
{
    struct plan plan;
    const char *fault = read_plan(how, &plan);
    *out_chain = (struct chain){0};
    if (fault)
        return fault;
    if (plan.direction == HALVES)
        fault = halve(draft, &plan, out_chain);
    else if (plan.direction == PIECES)
        fault = cut(draft, &plan, out_chain);
    else
        fault = grow(draft, &plan, out_chain);
    /* The whole passage is loop 0. */
    out_chain->loop[out_chain->loops++] = 0;
    return fault;
}
