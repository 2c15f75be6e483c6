/* Written changes drawn at random, against a second reckoning that shares nothing with the engine:
 * the tempo at a place read off the list of changes, and 1/p integrated by Simpson's rule. Then
 * what must hold of any loop: it may be cut anywhere, and half the tempo takes twice the time. */
#include "time_tools.h"

#include <math.h>

#define RATE_HZ 48000

static const struct passo_ratio none = {0, 1};
static const struct passo_instant zero = {0, 0};

static double value(struct passo_ratio ratio)
{
    return (double)ratio.num / (double)ratio.den;
}

static struct passo_place start_of(const struct passo_passage *passage)
{
    return passage->loop[0].from;
}

/* Whole notes from the passage's start. */
static double score(const struct passo_passage *passage, struct passo_place place)
{
    return value(passo_passage_length(passage, start_of(passage), place));
}

/* --- the second reckoning --- */

/* The share in force at a place, or just before it. */
static double share_at(const struct passo_passage *passage, double at, bool before)
{
    double share = 1;
    for (size_t i = 0; i < passage->writtens; i++) {
        const struct passo_written *written = &passage->written[i];
        double from = score(passage, written->from);
        double to = score(passage, written->to);
        if (before ? from >= at : from > at)
            break;
        if (written->kind == PASSO_WRITTEN_TEMPO)
            share = value(written->share);
        if (written->kind == PASSO_WRITTEN_SAME_NOTE)
            share *= value(written->share);
        if (written->kind == PASSO_WRITTEN_TO)
            share += (value(written->share) - share) * fmin(1, (at - from) / (to - from));
    }
    return share;
}

static double hold_at(const struct passo_passage *passage, double at)
{
    for (size_t i = 0; i < passage->writtens; i++) {
        const struct passo_written *written = &passage->written[i];
        if (written->kind == PASSO_WRITTEN_FERMATA && score(passage, written->from) < at &&
            at < score(passage, written->to))
            return value(written->share);
    }
    return 1;
}

/* Composite Simpson of 1/p over [a, b], where p is smooth inside. */
static double simpson(const struct passo_passage *passage, double a, double b, int parts)
{
    double step = (b - a) / parts;
    double sum = 1 / share_at(passage, a, false) + 1 / share_at(passage, b, true);
    for (int i = 1; i < parts; i++)
        sum += (i % 2 ? 4 : 2) / share_at(passage, a + i * step, false);
    return hold_at(passage, (a + b) / 2) * sum * step / 3;
}

/* What stands still after `a` up to and at `b`. */
static double stops(const struct passo_passage *passage, double a, double b)
{
    double sum = 0;
    for (size_t i = 0; i < passage->writtens; i++) {
        const struct passo_written *written = &passage->written[i];
        bool breath = written->kind == PASSO_WRITTEN_BREATH;
        if (!breath && written->kind != PASSO_WRITTEN_FERMATA)
            continue;
        double at = score(passage, breath ? written->from : written->to);
        if (at <= a || at > b)
            continue;
        double beats = breath ? value(written->share) / share_at(passage, at, true)
                              : written->beats / share_at(passage, at, false);
        sum += beats * value(passage->beat);
    }
    return sum;
}

/* Whole notes at the rung's tempo from a to b. */
static double reckoned(const struct passo_passage *passage, double a, double b)
{
    double sum = stops(passage, a, b);
    double at = a;
    while (at < b) {
        double next = b;
        for (size_t i = 0; i < passage->writtens; i++) {
            double from = score(passage, passage->written[i].from);
            double to = score(passage, passage->written[i].to);
            next = from > at && from < next ? from : next;
            next = to > at && to < next ? to : next;
        }
        sum += simpson(passage, at, next, 64);
        at = next;
    }
    return sum;
}

/* --- drawn passages --- */

static struct passo_place place_after(const struct passo_passage *passage, int64_t eighths)
{
    struct passo_place place = start_of(passage);
    struct passo_ratio left = ratio(eighths, 8);
    while (left.num > 0) {
        struct passo_ratio bar = passo_meter_length(passo_passage_meter(passage, place.bar));
        struct passo_ratio rest = passo_ratio_sub(bar, place.at);
        if (passo_ratio_cmp(left, rest) < 0) {
            place.at = passo_ratio_add(place.at, left);
            break;
        }
        left = passo_ratio_sub(left, rest);
        place.bar++;
        place.at = none;
    }
    return place;
}

static void draw_changes(uint64_t *seed, struct passo_passage *passage, int64_t eighths)
{
    int64_t at = random_between(seed, 0, 4);
    while (at < eighths && passage->writtens < 20) {
        enum passo_written_kind kind =
            (enum passo_written_kind)random_between(seed, 0, PASSO_WRITTEN_COUNT - 1);
        int64_t end = at;
        if (kind == PASSO_WRITTEN_TO || kind == PASSO_WRITTEN_FERMATA ||
            kind == PASSO_WRITTEN_SILENT)
            end = random_between(seed, at + 1, at + 12 < eighths ? at + 12 : eighths);
        struct passo_written written = {.kind = kind,
                                        .from = place_after(passage, at),
                                        .to = place_after(passage, end),
                                        .share = ratio(random_between(seed, 60, 150), 100),
                                        .beats = (uint8_t)random_between(seed, 0, 3)};
        if (kind == PASSO_WRITTEN_SILENT)
            written.share = ratio(1, 1);
        write_in(passage, written);
        at = end + (random_between(seed, 0, 2) ? random_between(seed, 0, 6) : end == at);
    }
}

/* Bars of eighths, all counted: every place of the draw lies on a click. Returns its eighths. */
static int64_t draw_passage(uint64_t *seed, struct passo_passage *out_passage)
{
    static const struct passo_ratio beats[] = {{1, 4}, {1, 8}, {3, 8}};
    const struct passo_meter meters[] = {meter_of(4, 4), meter_of(3, 4), meter_of(6, 8),
                                         groups_of(8, 3, 2, 2, 3)};
    *out_passage = (struct passo_passage){.meter = meters[random_between(seed, 0, 3)],
                                          .beat = beats[random_between(seed, 0, 2)],
                                          .first_bar = 1,
                                          .bars = (int32_t)random_between(seed, 2, 10)};
    if (random_between(seed, 0, 1))
        out_passage->pickup = ratio(random_between(seed, 1, 5), 8);
    if (out_passage->bars > 2) {
        out_passage->changes = 1;
        out_passage->change[0] = (struct passo_meter_change){2, meters[random_between(seed, 0, 3)]};
    }
    assert_int_equal(passo_passage_complete(out_passage), PASSO_OK);
    const struct passo_loop *whole = &out_passage->loop[0];
    struct passo_ratio length = passo_passage_length(out_passage, whole->from, whole->to);
    int64_t eighths = passo_ratio_floor(passo_ratio_mul(length, ratio(8, 1)));
    draw_changes(seed, out_passage, eighths);
    assert_int_equal(passo_passage_complete(out_passage), PASSO_OK);
    return eighths;
}

static struct passo_pass_shape shape_of(const struct passo_passage *passage,
                                        const struct passo_loop *loop,
                                        const struct passo_pulse *pulse, int32_t mbpm)
{
    return (struct passo_pass_shape){
        .passage = passage, .loop = loop, .pulse = pulse, .mbpm = mbpm};
}

static struct passo_loop draw_loop(uint64_t *seed, const struct passo_passage *passage,
                                   int64_t eighths, int64_t *out_from, int64_t *out_to)
{
    *out_from = random_between(seed, 0, eighths - 1);
    *out_to = random_between(seed, *out_from + 1, eighths);
    return (struct passo_loop){.name = "part",
                               .from = place_after(passage, *out_from),
                               .to = place_after(passage, *out_to)};
}

static void check_places(const struct passo_pass_shape *shape, double entry)
{
    struct passo_timeline *timeline = passo_timeline_build(shape, 1, zero, RATE_HZ);
    double frames_a_note =
        60000.0 * RATE_HZ / shape->mbpm / value(shape->passage->beat); /* a whole note */
    double count_in = value(passo_pass_span(shape).count_in);
    int64_t last = -1;
    bool body = false;
    for (size_t i = 0; i < timeline->events; i++) {
        const struct passo_event *event = &timeline->event[i];
        body = body || event->kind == PASSO_EVENT_BODY;
        if (event->kind != PASSO_EVENT_CLICK && event->kind != PASSO_EVENT_SILENT_CLICK)
            continue;
        assert_true(event->frame > last);
        last = event->frame;
        if (!body || event->click == PASSO_CLICK_COUNT)
            continue;
        struct passo_place place = {event->bar, ratio(event->beat - 1, 8)};
        double at = reckoned(shape->passage, entry, score(shape->passage, place));
        assert_true(fabs((double)event->frame - (count_in + at) * frames_a_note) < .51);
    }
    free(timeline);
}

static void test_every_click_against_simpson(void **state)
{
    (void)state;
    uint64_t seed = 5;
    struct passo_pulse pulse = {.count = {1, 8}, .count_in_bars = 1};
    for (int i = 0; i < 300; i++) {
        struct passo_passage passage;
        int64_t eighths = draw_passage(&seed, &passage);
        int64_t from, to;
        struct passo_loop loop = draw_loop(&seed, &passage, eighths, &from, &to);
        struct passo_pass_shape shape =
            shape_of(&passage, &loop, &pulse, (int32_t)random_between(&seed, 40000, 200000));
        double entry = (double)from / 8;
        double share = share_at(&passage, entry, false);
        struct passo_ratio bar = passo_meter_length(passo_passage_meter(&passage, loop.from.bar));
        double count_in = (value(bar) + value(loop.from.at)) / share;
        struct passo_pass_span span = passo_pass_span(&shape);
        assert_true(fabs(value(span.count_in) - count_in) < 1e-7);
        double landing = .125 / share_at(&passage, (double)to / 8, false);
        assert_true(fabs(value(span.landing) - landing) < 1e-7);
        check_places(&shape, entry);
    }
}

/* One even change over the whole range of shares, loops that begin and end anywhere in it: the
 * body to a hundredth of a frame. */
static void test_even_changes_against_simpson(void **state)
{
    (void)state;
    uint64_t seed = 72;
    struct passo_pulse pulse = {0};
    for (int i = 0; i < 400; i++) {
        struct passo_passage passage = passage_of(meter_of(4, 4), ratio(1, 4), 1, 8);
        int64_t low = i % 4 ? 40 : 7;
        struct passo_ratio first = ratio(random_between(&seed, low, 1600), 100);
        struct passo_ratio second = ratio(random_between(&seed, low, 1600), 100);
        if (i % 3 == 0) /* nearly steady */
            second = passo_ratio_add(first, ratio(1, 599));
        if (passo_ratio_cmp(second, ratio(16, 1)) > 0)
            second = ratio(16, 1);
        write_in(&passage, change_of(PASSO_WRITTEN_TEMPO, 1, none, 1, none, first));
        write_in(&passage, change_of(PASSO_WRITTEN_TO, 1, none, 9, none, second));
        assert_int_equal(passo_passage_complete(&passage), PASSO_OK);
        int64_t from, to;
        struct passo_loop loop = draw_loop(&seed, &passage, 64, &from, &to);
        struct passo_pass_shape shape = shape_of(&passage, &loop, &pulse, 60000);
        double body = value(passo_pass_span(&shape).body);
        double parts = simpson(&passage, (double)from / 8, (double)to / 8, 20000);
        assert_true(fabs(body - parts) * 4 * RATE_HZ < .01);
    }
}

/* p0 = p1: an even change to the tempo in force is none, exactly. */
static void test_a_change_to_the_same_tempo(void **state)
{
    (void)state;
    struct passo_passage passage = passage_of(meter_of(4, 4), ratio(1, 4), 1, 2);
    write_in(&passage, change_of(PASSO_WRITTEN_TEMPO, 1, none, 1, none, ratio(2, 3)));
    write_in(&passage, change_of(PASSO_WRITTEN_TO, 1, none, 2, none, ratio(2, 3)));
    assert_int_equal(passo_passage_complete(&passage), PASSO_OK);
    struct passo_pulse pulse = {0};
    struct passo_pass_shape shape = shape_of(&passage, &passage.loop[0], &pulse, 60000);
    assert_int_equal(passo_ratio_cmp(passo_pass_span(&shape).body, ratio(3, 1)), 0);
}

static double body_length(const struct passo_passage *passage, struct passo_place from,
                          struct passo_place to)
{
    struct passo_pulse pulse = {0};
    struct passo_loop loop = {.name = "part", .from = from, .to = to};
    struct passo_pass_shape shape = shape_of(passage, &loop, &pulse, 60000);
    return value(passo_pass_span(&shape).body);
}

static void test_a_loop_may_be_cut_anywhere(void **state)
{
    (void)state;
    uint64_t seed = 44;
    for (int i = 0; i < 2000; i++) {
        struct passo_passage passage;
        int64_t eighths = draw_passage(&seed, &passage);
        int64_t from, to;
        struct passo_loop loop = draw_loop(&seed, &passage, eighths, &from, &to);
        if (to - from < 2)
            continue;
        struct passo_place seam = place_after(&passage, random_between(&seed, from + 1, to - 1));
        if (i % 2) /* between the eighths */
            seam.at = passo_ratio_add(seam.at, ratio(random_between(&seed, 1, 6), 56));
        double parts =
            body_length(&passage, loop.from, seam) + body_length(&passage, seam, loop.to);
        assert_true(fabs(parts - body_length(&passage, loop.from, loop.to)) < 1e-7);
    }
}

static void test_half_the_tempo_takes_twice_the_time(void **state)
{
    (void)state;
    uint64_t seed = 60;
    struct passo_pulse pulse = {.count = {1, 8}, .count_in_bars = 1, .subdivide = 3};
    for (int i = 0; i < 500; i++) {
        struct passo_passage passage;
        int64_t eighths = draw_passage(&seed, &passage);
        int64_t from, to;
        struct passo_loop loop = draw_loop(&seed, &passage, eighths, &from, &to);
        int32_t mbpm = (int32_t)random_between(&seed, 20000, 150000);
        struct passo_pass_shape slow = shape_of(&passage, &loop, &pulse, mbpm);
        struct passo_pass_shape fast = shape_of(&passage, &loop, &pulse, 2 * mbpm);
        struct passo_timeline *twice = passo_timeline_build(&slow, 1, zero, RATE_HZ);
        struct passo_timeline *once = passo_timeline_build(&fast, 1, zero, RATE_HZ);
        assert_int_equal(twice->events, once->events);
        for (size_t k = 0; k < once->events; k++) {
            assert_true(llabs(twice->event[k].frame - 2 * once->event[k].frame) <= 1);
            assert_int_equal(twice->event[k].kind, once->event[k].kind);
        }
        struct passo_pass_times half = passo_pass_times(&fast);
        struct passo_pass_times full = passo_pass_times(&slow);
        assert_true(llabs(full.played_ns - 2 * half.played_ns) <= 1);
        assert_true(llabs(full.count_in_ns - 2 * half.count_in_ns) <= 1);
        free(twice);
        free(once);
    }
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_every_click_against_simpson),
        cmocka_unit_test(test_even_changes_against_simpson),
        cmocka_unit_test(test_a_change_to_the_same_tempo),
        cmocka_unit_test(test_a_loop_may_be_cut_anywhere),
        cmocka_unit_test(test_half_the_tempo_takes_twice_the_time),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
