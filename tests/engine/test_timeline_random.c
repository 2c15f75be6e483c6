/* Timelines of passages, loops and pulses drawn at random: order, silence, accents and exact places
 * by GMP, any split in two, and the finest places that a passage may hold. */
#include "time_tools.h"

static struct passo_meter random_meter(uint64_t *seed)
{
    static const struct {
        uint8_t count, unit;
    } usual[] = {{4, 4}, {3, 4}, {2, 4}, {6, 8}, {9, 8}, {5, 4}, {3, 8}, {2, 2}, {12, 8}};
    if (random_between(seed, 0, 3) == 0)
        return groups_of(8, 3, 2, 2, 3);
    size_t i = (size_t)random_between(seed, 0, 8);
    return meter_of(usual[i].count, usual[i].unit);
}

static void random_passage(uint64_t *seed, struct passo_passage *out_passage)
{
    static const struct passo_ratio beats[] = {{1, 4}, {1, 8}, {3, 8}, {1, 2}, {5, 8}};
    *out_passage = (struct passo_passage){.meter = random_meter(seed),
                                          .beat = beats[random_between(seed, 0, 4)],
                                          .first_bar = (int32_t)random_between(seed, 1, 300),
                                          .bars = (int32_t)random_between(seed, 2, 12)};
    for (int32_t bar = 1; bar < out_passage->bars; bar++) {
        if (random_between(seed, 0, 3) == 0)
            out_passage->change[out_passage->changes++] =
                (struct passo_meter_change){out_passage->first_bar + bar, random_meter(seed)};
    }
    if (random_between(seed, 0, 1))
        out_passage->pickup = passo_ratio(random_between(seed, 1, 5), 16);
    assert_int_equal(passo_passage_complete(out_passage), PASSO_OK);
}

static struct passo_pulse random_pulse(uint64_t *seed)
{
    static const struct passo_ratio units[] = {{0, 0}, {0, 1}, {1, 4}, {1, 8}, {1, 2}, {3, 8}};
    return (struct passo_pulse){.count = units[random_between(seed, 0, 5)],
                                .subdivide = (uint8_t)random_between(seed, 0, 6),
                                .swing_long = (uint8_t)random_between(seed, 0, 9),
                                .swing_short = (uint8_t)random_between(seed, 0, 9),
                                .silent = (uint8_t)random_between(seed, 0, 63)};
}

static struct passo_place random_place(uint64_t *seed, const struct passo_passage *passage,
                                       int32_t low, int32_t high)
{
    struct passo_place place = {.bar = (int32_t)random_between(seed, low, high)};
    struct passo_ratio bar = passo_meter_length(passo_passage_meter(passage, place.bar));
    int64_t grid = random_between(seed, 0, 2) ? 8 : 48;
    int64_t steps = passo_ratio_floor(passo_ratio_mul(bar, ratio(grid, 1)));
    place.at = passo_ratio(random_between(seed, 0, steps - 1), grid);
    return place;
}

/* A part of the passage that runs forward. */
static struct passo_loop random_loop(uint64_t *seed, const struct passo_passage *passage)
{
    struct passo_loop loop = passage->loop[0];
    int32_t last = passage->first_bar + passage->bars;
    do {
        loop.from = random_place(seed, passage, passage->first_bar, last - 1);
        loop.to = random_place(seed, passage, loop.from.bar, last);
    } while (passo_passage_length(passage, loop.from, loop.to).num <= 0);
    return loop;
}

static bool is_click(const struct passo_event *event)
{
    return event->kind == PASSO_EVENT_CLICK || event->kind == PASSO_EVENT_SILENT_CLICK;
}

static bool is_count_in(const struct passo_event *event)
{
    return is_click(event) &&
           (event->click == PASSO_CLICK_COUNT || event->click == PASSO_CLICK_COUNT_BAR);
}

/* floor(fraction + length + 1/2), by GMP. */
static int64_t exact_frame(const struct passo_pass_shape *shape, struct passo_ratio position,
                           uint32_t fraction, uint32_t rate_hz)
{
    struct passo_tempo tempo = {shape->mbpm, shape->passage->beat};
    mpq_t length, origin;
    mpz_t frame;
    mpq_inits(length, origin, NULL);
    mpz_init(frame);
    exact_frames(length, position, tempo, rate_hz);
    exact_instant(origin, (struct passo_instant){0, fraction});
    mpq_add(length, length, origin);
    rounded(frame, length, 1);
    int64_t result = mpz_get_si(frame);
    mpq_clears(length, origin, NULL);
    mpz_clear(frame);
    return result;
}

/* A beat's click must stand where its printed place says, as strong as the meter says. */
static void check_beat_click(const struct passo_pass_shape *shape,
                             const struct passo_timeline *timeline, const struct passo_event *event,
                             struct passo_ratio unit)
{
    struct passo_beat beat[PASSO_METER_BEATS_MAX];
    size_t beats = passo_meter_beats(passo_passage_meter(shape->passage, event->bar), unit, beat);
    assert_int_equal(event->of, beats);
    assert_in_range(event->beat, 1, beats);
    assert_int_equal(event->click, beat[event->beat - 1].click);
    struct passo_place place = {event->bar, beat[event->beat - 1].at};
    struct passo_ratio position =
        passo_ratio_add(passo_pass_span(shape).count_in,
                        passo_passage_length(shape->passage, shape->loop->from, place));
    assert_int_equal(event->frame,
                     exact_frame(shape, position, timeline->start.fraction, timeline->rate_hz));
}

static void check_order(const struct passo_timeline *timeline)
{
    size_t kinds[PASSO_EVENT_KIND_COUNT] = {0};
    for (size_t i = 0; i < timeline->events; i++) {
        const struct passo_event *event = &timeline->event[i];
        assert_true(i == 0 || event[-1].frame <= event->frame);
        assert_true(is_count_in(event) == (is_click(event) && !kinds[PASSO_EVENT_BODY]));
        assert_true(!is_click(event) || event->click != PASSO_CLICK_SUB ||
                    !kinds[PASSO_EVENT_LAND]);
        kinds[event->kind]++;
    }
    assert_int_equal(kinds[PASSO_EVENT_BODY], 1);
    assert_int_equal(kinds[PASSO_EVENT_LAND], 1);
    assert_int_equal(kinds[PASSO_EVENT_END], 1);
    assert_int_equal(timeline->event[timeline->events - 1].kind, PASSO_EVENT_END);
    /* the landing: notice, one click, end */
    assert_int_equal(timeline->event[timeline->events - 3].kind, PASSO_EVENT_LAND);
    assert_int_equal(timeline->event[timeline->events - 3].frame,
                     timeline->event[timeline->events - 2].frame);
}

static void check_silence(const struct passo_timeline *timeline, uint8_t silent)
{
    for (size_t i = 0; i < timeline->events; i++) {
        const struct passo_event *event = &timeline->event[i];
        if (is_click(event))
            assert_int_equal(event->kind == PASSO_EVENT_SILENT_CLICK,
                             (silent & (1u << event->click)) != 0);
    }
}

static void test_random_passes(void **state)
{
    (void)state;
    uint64_t seed = 24;
    static const uint32_t rates[] = {44100, 48000, 96000};
    for (int i = 0; i < 1500; i++) {
        struct passo_passage passage;
        random_passage(&seed, &passage);
        struct passo_pulse pulse = random_pulse(&seed);
        struct passo_loop loop = i % 4 ? random_loop(&seed, &passage) : passage.loop[0];
        struct passo_pass_shape shape = {.passage = &passage,
                                         .loop = &loop,
                                         .pulse = &pulse,
                                         .mbpm = (int32_t)random_between(&seed, 30000, 300000)};
        struct passo_instant start = {random_between(&seed, 0, INT64_C(1) << 40),
                                      (uint32_t)random_bits(&seed)};
        struct passo_timeline *timeline = passo_timeline_build(&shape, 1, start, rates[i % 3]);
        check_order(timeline);
        check_silence(timeline, pulse.silent);
        struct passo_ratio unit = pulse.count.den ? pulse.count : passage.beat;
        for (size_t k = 0; k + 2 < timeline->events; k++) {
            const struct passo_event *event = &timeline->event[k];
            if (is_click(event) && !is_count_in(event) && event->click != PASSO_CLICK_SUB)
                check_beat_click(&shape, timeline, event, unit);
        }
        free(timeline);
    }
}

/* The body in two halves, the second from where the first ended, is the body in one: the same
 * bars, beats and accents at the same frames (one frame apart where the seam's rounding shows). */
static void check_split(const struct passo_pass_shape *whole, struct passo_place seam)
{
    struct passo_loop first_loop = *whole->loop;
    struct passo_loop second_loop = *whole->loop;
    first_loop.to = second_loop.from = seam;
    struct passo_pass_shape first_shape = *whole;
    struct passo_pass_shape second_shape = *whole;
    first_shape.loop = &first_loop;
    second_shape.loop = &second_loop;
    struct passo_instant start = {100, 12345};
    struct passo_timeline *all = passo_timeline_build(whole, 1, start, 48000);
    struct passo_timeline *first = passo_timeline_build(&first_shape, 2, start, 48000);
    struct passo_timeline *second = passo_timeline_build(&second_shape, 3, first->end, 48000);
    /* without the first's END and the second's BODY */
    assert_int_equal(all->events, first->events - 1 + second->events - 1);
    for (size_t i = 0; i < all->events; i++) {
        bool early = i < first->events - 1;
        const struct passo_timeline *part = early ? first : second;
        const struct passo_event *ours =
            early ? &first->event[i] : &second->event[i - (first->events - 1) + 1];
        const struct passo_event *theirs = &all->event[i];
        int64_t apart = part->start.frame + ours->frame - (all->start.frame + theirs->frame);
        assert_true(early ? apart == 0 : apart >= -1 && apart <= 1);
        assert_int_equal(ours->kind, theirs->kind);
        assert_int_equal(ours->click, theirs->click);
        assert_int_equal(ours->bar, theirs->bar);
        assert_int_equal(ours->beat, theirs->beat);
        assert_int_equal(ours->of, theirs->of);
    }
    free(all);
    free(first);
    free(second);
}

static void test_random_splits_keep_the_bar(void **state)
{
    (void)state;
    uint64_t seed = 99;
    for (int i = 0; i < 1500; i++) {
        struct passo_passage passage;
        random_passage(&seed, &passage);
        struct passo_pulse pulse = random_pulse(&seed);
        struct passo_loop loop = random_loop(&seed, &passage);
        struct passo_pass_shape shape = {.passage = &passage,
                                         .loop = &loop,
                                         .pulse = &pulse,
                                         .mbpm = (int32_t)random_between(&seed, 30000, 300000),
                                         .no_count_in = true,
                                         .no_landing = true};
        struct passo_place seam = random_place(&seed, &passage, loop.from.bar, loop.to.bar);
        if (passo_passage_length(&passage, loop.from, seam).num > 0 &&
            passo_passage_length(&passage, seam, loop.to).num > 0)
            check_split(&shape, seam);
    }
}

/* Whatever passo_passage_complete() accepts can be built: the finest places, units and swings. */
static void test_the_finest_places_can_be_timed(void **state)
{
    (void)state;
    struct passo_passage passage = {.meter = meter_of(61, 64),
                                    .beat = {1, 256},
                                    .first_bar = 1,
                                    .bars = PASSO_BARS_MAX,
                                    .pickup = {1, 253},
                                    .loops = 2};
    passage.loop[1] =
        loop_of(1 - PASSO_BARS_MAX, ratio(1, 64 * 255), 2 * PASSO_BARS_MAX, ratio(1, 64 * 251));
    assert_int_equal(passo_passage_complete(&passage), PASSO_OK);
    struct passo_pulse pulse = {.count = {61, 64 * 127},
                                .subdivide = 6,
                                .swing_long = 9,
                                .swing_short = 8,
                                .count_in_bars = 255};
    struct passo_pass_shape shape = {
        .passage = &passage, .loop = &passage.loop[1], .pulse = &pulse};
    struct passo_loop edge = passage.loop[1];
    edge.to.bar = edge.from.bar + 3;
    shape.loop = &edge;
    shape.mbpm = PASSO_TEMPO_MIN_MBPM;
    shape.no_count_in = true;
    struct passo_timeline *timeline =
        passo_timeline_build(&shape, 1, (struct passo_instant){0, 1}, PASSO_RATE_MAX_HZ);
    assert_int_equal(timeline->event[timeline->events - 1].frame,
                     passo_instant_frame(timeline->end));
    free(timeline);
    struct passo_meter longest = meter_of(64, 1);
    passage.meter = longest;
    passage.pickup = ratio(0, 1);
    assert_int_equal(passo_passage_complete(&passage), PASSO_OK);
    shape.loop = &passage.loop[1];
    pulse.subdivide = 1;
    pulse.count = ratio(64, 1);
    shape.no_count_in = false;
    timeline = passo_timeline_build(&shape, 1, (struct passo_instant){0, 1}, PASSO_RATE_MAX_HZ);
    assert_int_equal(timeline->event[0].frame, 0);
    check_order(timeline);
    free(timeline);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_random_passes),
        cmocka_unit_test(test_random_splits_keep_the_bar),
        cmocka_unit_test(test_the_finest_places_can_be_timed),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
