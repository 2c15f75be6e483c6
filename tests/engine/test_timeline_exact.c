/* 24 simulated hours of tempo changes, every click against its exact rational place by GMP. */
#include "time_tools.h"

#define CHANGES     10000
#define HOURS       24
#define TEMPI       512
#define FIXED_TEMPI 3

/* A pass whose clicks lie `step` apart from its start on. */
struct even_shape {
    struct passo_passage passage;
    struct passo_pulse pulse;
    struct passo_ratio step;
    bool no_count_in;
};

static void set_even_shapes(struct even_shape shape[4])
{
    const struct passo_ratio quarter = {1, 4};
    const struct passo_ratio dotted = {3, 8};
    const struct passo_ratio eighth = {1, 8};
    shape[0] =
        (struct even_shape){.passage = passage_of(meter_of(4, 4), quarter, 33, 3), .step = quarter};
    shape[1] = (struct even_shape){.passage = passage_of(meter_of(6, 8), dotted, 1, 4),
                                   .pulse = {.count = eighth},
                                   .step = eighth};
    shape[2] = (struct even_shape){.passage = passage_of(meter_of(3, 4), quarter, 9, 5),
                                   .pulse = {.subdivide = 3},
                                   .step = {1, 12},
                                   .no_count_in = true};
    shape[3] =
        (struct even_shape){.passage = passage_of(meter_of(6, 8), dotted, 5, 5), .step = dotted};
}

/* The exact line of time, in units of 1/common of a frame. */
struct exact_line {
    mpz_t common;
    mpz_t start; /* of the pass */
    mpz_t place;
    mpz_t wide_by;
    mpz_t allowed;
    mpq_t length;
};

static void line_init(struct exact_line *line, const int32_t tempi[TEMPI])
{
    mpz_inits(line->common, line->start, line->place, line->wide_by, line->allowed, NULL);
    mpq_init(line->length);
    mpz_set_ui(line->common, 144); /* what the steps and beat units bring */
    for (size_t i = 0; i < TEMPI; i++)
        mpz_lcm_ui(line->common, line->common, (unsigned long)tempi[i] * 144);
}

static void line_clear(struct exact_line *line)
{
    mpz_clears(line->common, line->start, line->place, line->wide_by, line->allowed, NULL);
    mpq_clear(line->length);
}

/* place = start + whole_notes at tempo */
static void line_place(struct exact_line *line, struct passo_ratio whole_notes,
                       struct passo_tempo tempo, uint32_t rate_hz)
{
    exact_frames(line->length, whole_notes, tempo, rate_hz);
    assert_true(mpz_divisible_p(line->common, mpq_denref(line->length)));
    mpz_divexact(line->place, line->common, mpq_denref(line->length));
    mpz_mul(line->place, line->place, mpq_numref(line->length));
    mpz_add(line->place, line->place, line->start);
}

/* |frame - place| <= 1/2 + passes * 2^-33: a pass's origin is rounded to the nearest 2^-32. */
static void line_check(struct exact_line *line, int64_t frame, uint64_t passes)
{
    mpz_mul_si(line->wide_by, line->common, frame);
    mpz_sub(line->wide_by, line->wide_by, line->place);
    mpz_mul_2exp(line->wide_by, line->wide_by, 33);
    mpz_mul_ui(line->allowed, line->common, (UINT64_C(1) << 32) + passes);
    assert_true(mpz_cmpabs(line->wide_by, line->allowed) <= 0);
}

static uint64_t check_pass(struct exact_line *line, const struct even_shape *even,
                           struct passo_tempo tempo, uint64_t passes, struct passo_instant *start,
                           uint32_t rate_hz)
{
    struct passo_pass_shape shape = {.passage = &even->passage,
                                     .loop = &even->passage.loop[0],
                                     .pulse = &even->pulse,
                                     .mbpm = tempo.mbpm,
                                     .no_count_in = even->no_count_in};
    struct passo_timeline *timeline = passo_timeline_build(&shape, passes, *start, rate_hz);
    uint64_t clicks = 0;
    for (size_t i = 0; i < timeline->events; i++) {
        if (timeline->event[i].kind != PASSO_EVENT_CLICK)
            continue;
        struct passo_ratio at = passo_ratio_mul(even->step, ratio((int64_t)clicks, 1));
        line_place(line, at, tempo, rate_hz);
        line_check(line, start->frame + timeline->event[i].frame, passes);
        clicks++;
    }
    struct passo_pass_span span = passo_pass_span(&shape);
    struct passo_ratio whole =
        passo_ratio_add(passo_ratio_add(span.count_in, span.body), span.landing);
    line_place(line, whole, tempo, rate_hz);
    mpz_set(line->start, line->place);
    *start = timeline->end;
    free(timeline);
    return clicks;
}

static void check_a_day(uint32_t rate_hz)
{
    uint64_t seed = rate_hz;
    static const int32_t fixed[FIXED_TEMPI] = {63700, 181300, 88500};
    int32_t tempi[TEMPI];
    for (size_t i = 0; i < TEMPI; i++)
        tempi[i] = i < FIXED_TEMPI ? fixed[i] : (int32_t)random_between(&seed, 40000, 208000);
    struct even_shape even[4];
    set_even_shapes(even);
    struct exact_line line;
    line_init(&line, tempi);
    struct passo_instant start = {0, 0};
    uint64_t passes = 0;
    uint64_t clicks = 0;
    size_t drawn = 0;
    while (passes < CHANGES || start.frame < (int64_t)HOURS * 3600 * rate_hz) {
        /* the next draw is never this one: each pass is a change of tempo */
        drawn = (drawn + (size_t)random_between(&seed, 1, TEMPI - 1)) % TEMPI;
        const struct even_shape *shape = &even[random_between(&seed, 0, 3)];
        struct passo_tempo tempo = {tempi[drawn], shape->passage.beat};
        clicks += check_pass(&line, shape, tempo, passes, &start, rate_hz);
        passes++;
    }
    print_message("%u Hz: %" PRIu64 " tempo changes, %" PRIu64 " clicks, %.1f hours\n", rate_hz,
                  passes, clicks, (double)start.frame / rate_hz / 3600);
    line_clear(&line);
}

static void test_24_hours_at_44100_hz(void **state)
{
    (void)state;
    check_a_day(44100);
}

static void test_24_hours_at_48000_hz(void **state)
{
    (void)state;
    check_a_day(48000);
}

static void test_24_hours_at_96000_hz(void **state)
{
    (void)state;
    check_a_day(96000);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_24_hours_at_44100_hz),
        cmocka_unit_test(test_24_hours_at_48000_hz),
        cmocka_unit_test(test_24_hours_at_96000_hz),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
