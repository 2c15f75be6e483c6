/* Nothing that passo_passage_complete() accepts stops the program: written changes of the finest
 * terms in the finest places, and the longest pass that there can be. */
#include "time_tools.h"

#include <math.h>

static const struct passo_ratio none = {0, 1};
static const struct passo_instant zero = {0, 0};

static struct passo_pass_shape shape_of(const struct passo_passage *passage,
                                        const struct passo_loop *loop,
                                        const struct passo_pulse *pulse, int32_t mbpm)
{
    return (struct passo_pass_shape){
        .passage = passage, .loop = loop, .pulse = pulse, .mbpm = mbpm};
}

static struct passo_ratio wild_share(uint64_t *seed)
{
    int64_t den = random_between(seed, 1, PASSO_SHARE_TERM_MAX);
    if (random_between(seed, 0, 3) == 0)
        return random_between(seed, 0, 1) ? ratio(1, 16) : ratio(16, 1);
    int64_t low = (den + 15) / 16;
    int64_t high = 16 * den < PASSO_SHARE_TERM_MAX ? 16 * den : PASSO_SHARE_TERM_MAX;
    return ratio(random_between(seed, low, high), den);
}

static struct passo_place wild_place(uint64_t *seed, const struct passo_passage *passage,
                                     int32_t bar)
{
    int64_t den = 64 * random_between(seed, 1, 256);
    struct passo_ratio bars = passo_meter_length(passo_passage_meter(passage, bar));
    int64_t most = passo_ratio_floor(passo_ratio_mul(bars, ratio(den, 1)));
    return (struct passo_place){bar, ratio(random_between(seed, 0, most), den)};
}

/* Every bar has one change, of the finest terms; equal notes only where they stay in range. */
static void draw_wild(uint64_t *seed, struct passo_passage *out_passage)
{
    *out_passage = (struct passo_passage){
        .meter = meter_of(random_between(seed, 1, 64), 1 << random_between(seed, 0, 6)),
        .beat = {random_between(seed, 1, 256), random_between(seed, 1, 256)},
        .first_bar = (int32_t)random_between(seed, -5, 5),
        .bars = 64};
    assert_int_equal(passo_passage_complete(out_passage), PASSO_OK);
    for (int32_t i = 0; i < 64; i++) {
        struct passo_written written = {
            .kind = (enum passo_written_kind)random_between(seed, 0, PASSO_WRITTEN_SILENT),
            .from = wild_place(seed, out_passage, out_passage->first_bar + i),
            .to = {out_passage->first_bar + i + 1, none},
            .share = wild_share(seed),
            .beats = (uint8_t)random_between(seed, 0, PASSO_PREPARATION_MAX)};
        if (written.kind == PASSO_WRITTEN_SILENT)
            written.share = ratio(1, 1);
        write_in(out_passage, written);
        if (passo_passage_complete(out_passage) != PASSO_OK)
            out_passage->writtens--;
    }
}

static void test_wild_passages_never_stop_the_program(void **state)
{
    (void)state;
    uint64_t seed = 16;
    size_t changes = 0;
    for (int i = 0; i < 150; i++) {
        struct passo_passage passage;
        draw_wild(&seed, &passage);
        changes += passage.writtens;
        struct passo_pulse pulse = {.count = none,
                                    .subdivide = (uint8_t)random_between(&seed, 0, 6),
                                    .swing_long = 9,
                                    .swing_short = 8,
                                    .count_in_bars = (uint8_t)(i % 3 ? 0 : 255),
                                    .place = (enum passo_click_place)(i % 3)};
        passage.loops = 2;
        struct passo_loop *loop = &passage.loop[1];
        *loop = passage.loop[0];
        loop->from = wild_place(&seed, &passage, passage.first_bar + i % 40);
        loop->to = wild_place(&seed, &passage, loop->from.bar + 1 + i % 30);
        assert_int_equal(passo_passage_complete(&passage), PASSO_OK);
        struct passo_pass_shape shape =
            shape_of(&passage, loop, &pulse, i % 2 ? PASSO_TEMPO_MIN_MBPM : PASSO_TEMPO_MAX_MBPM);
        struct passo_timeline *timeline =
            passo_timeline_build(&shape, 1, (struct passo_instant){0, 1}, PASSO_RATE_MAX_HZ);
        for (size_t k = 1; k < timeline->events; k++)
            assert_true(timeline->event[k].frame >= timeline->event[k - 1].frame);
        free(timeline);
    }
    assert_true(changes > 150 * 40);
}

/* The longest: 6,000 bars of 64 whole notes at a sixteenth of the tempo, a bar's fermata in 63 of
 * them with 16 beats of 256 whole notes. */
static void test_the_longest_pass(void **state)
{
    (void)state;
    struct passo_passage passage = {.meter = meter_of(64, 1),
                                    .beat = {256, 1},
                                    .first_bar = 1,
                                    .bars = PASSO_BARS_MAX,
                                    .loops = 2};
    passage.loop[1] = loop_of(1 - PASSO_BARS_MAX, none, 2 * PASSO_BARS_MAX, none);
    write_in(&passage, change_of(PASSO_WRITTEN_TEMPO, 1, none, 1, none, ratio(1, 16)));
    for (int32_t bar = 1; bar < PASSO_WRITTEN_MAX; bar++)
        write_in(&passage, change_of(PASSO_WRITTEN_FERMATA, bar, none, bar + 1, none, ratio(16, 1)))
            ->beats = PASSO_PREPARATION_MAX;
    assert_int_equal(passo_passage_complete(&passage), PASSO_OK);
    struct passo_pulse pulse = {.count_in_bars = 255};
    struct passo_pass_shape shape =
        shape_of(&passage, &passage.loop[1], &pulse, PASSO_TEMPO_MIN_MBPM);
    struct passo_timeline *timeline = passo_timeline_build(&shape, 1, zero, PASSO_RATE_MAX_HZ);
    struct passo_ratio body = passo_pass_span(&shape).body;
    double notes = 2000 * 64 + (3999 - 63) * 1024.0 + 63 * 16 * (1024 + 256 * 16.0);
    assert_true(fabs((double)body.num / (double)body.den - notes) < 1e-3);
    free(timeline);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_wild_passages_never_stop_the_program),
        cmocka_unit_test(test_the_longest_pass),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
