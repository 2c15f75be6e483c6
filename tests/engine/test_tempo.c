/* Tempo and instants against exact rationals of GMP, and against published beat frames. */
#include "time_tools.h"

#define POSITIONS 1000000

static const uint32_t rates[] = {44100, 48000, 96000,  PASSO_RATE_MIN_HZ,
                                 22050, 88200, 192000, PASSO_RATE_MAX_HZ};
static const int32_t awkward[] = {63700, 181300, 88500, PASSO_TEMPO_MIN_MBPM, PASSO_TEMPO_MAX_MBPM};
static const struct passo_ratio quarter = {1, 4};

struct question {
    struct passo_instant origin;
    struct passo_ratio length;
    struct passo_tempo tempo;
    uint32_t rate_hz;
};

static struct passo_ratio random_length(uint64_t *seed, int i)
{
    /* small musical fractions, middling ones, and the whole documented range */
    int64_t den = random_between(seed, 1,
                                 i % 4 == 0   ? 64
                                 : i % 4 == 1 ? 1 << 16
                                              : INT64_C(1) << 28);
    int64_t wholes = i % 3 ? 1000 : (INT64_C(1) << 24) - 1;
    return passo_ratio(random_between(seed, 0, wholes * den), den);
}

static struct question random_question(uint64_t *seed, int i)
{
    struct question q = {.length = random_length(seed, i),
                         .rate_hz = rates[(size_t)i % (sizeof rates / sizeof rates[0])]};
    int64_t farthest = i % 5 ? INT64_C(1) << 40 : INT64_C(1) << 62;
    q.origin.frame = random_between(seed, -farthest, farthest);
    q.origin.fraction = (uint32_t)random_bits(seed);
    int64_t mbpm = random_between(seed, PASSO_TEMPO_MIN_MBPM, PASSO_TEMPO_MAX_MBPM);
    q.tempo.mbpm = i % 2 ? (int32_t)mbpm : awkward[(i / 2) % 5];
    q.tempo.beat = i % 7 ? passo_ratio(random_between(seed, 1, 3), 4)
                         : passo_ratio(random_between(seed, 1, PASSO_BEAT_TERM_MAX),
                                       random_between(seed, 1, PASSO_BEAT_TERM_MAX));
    return q;
}

struct judge {
    mpq_t length;
    mpq_t origin;
    mpz_t expected;
    mpz_t found;
};

/* The frame, and the advanced instant in parts of 2^-32, must be the rounded exact values. */
static void check_place(struct judge *judge, const struct question *q)
{
    exact_frames(judge->length, q->length, q->tempo, q->rate_hz);
    rounded(judge->expected, judge->length, UINT64_C(1) << 32);
    exact_instant(judge->origin, q->origin);
    mpq_add(judge->length, judge->length, judge->origin);
    mpz_set_si(judge->found, q->origin.frame);
    mpz_mul_2exp(judge->found, judge->found, 32);
    mpz_add_ui(judge->found, judge->found, q->origin.fraction);
    mpz_add(judge->expected, judge->expected, judge->found);

    struct passo_instant on = passo_tempo_advance(q->origin, q->length, q->tempo, q->rate_hz);
    mpz_set_si(judge->found, on.frame);
    mpz_mul_2exp(judge->found, judge->found, 32);
    mpz_add_ui(judge->found, judge->found, on.fraction);
    assert_int_equal(mpz_cmp(judge->expected, judge->found), 0);

    rounded(judge->expected, judge->length, 1);
    int64_t frame = passo_tempo_frame(q->origin, q->length, q->tempo, q->rate_hz);
    assert_int_equal(mpz_cmp_si(judge->expected, frame), 0);
}

static void start_judge(struct judge *judge)
{
    mpq_inits(judge->length, judge->origin, NULL);
    mpz_inits(judge->expected, judge->found, NULL);
}

static void end_judge(struct judge *judge)
{
    mpq_clears(judge->length, judge->origin, NULL);
    mpz_clears(judge->expected, judge->found, NULL);
}

static void test_a_million_positions(void **state)
{
    (void)state;
    uint64_t seed = 1;
    struct judge judge;
    start_judge(&judge);
    for (int i = 0; i < POSITIONS; i++) {
        struct question q = random_question(&seed, i);
        check_place(&judge, &q);
    }
    end_judge(&judge);
}

/* Every combination of the ends of the documented ranges. */
static void test_extremes(void **state)
{
    (void)state;
    const int64_t wholes = (INT64_C(1) << 24) - 1;
    const int64_t den = INT64_C(1) << 28;
    const struct passo_ratio lengths[] = {{0, 1},
                                          {1, den},
                                          {1, den - 1},
                                          {wholes, 1},
                                          {wholes * den + den - 1, den},
                                          {wholes * (den - 1) + den - 2, den - 1}};
    const struct passo_ratio beats[] = {{1, 256}, {256, 1}, {255, 256}, {1, 1}, {1, 255}};
    const int32_t tempi[] = {PASSO_TEMPO_MIN_MBPM, PASSO_TEMPO_MAX_MBPM, 999983};
    const uint32_t edges[] = {PASSO_RATE_MIN_HZ, PASSO_RATE_MAX_HZ};
    const struct passo_instant origins[] = {{0, 0},
                                            {0, UINT32_MAX},
                                            {INT64_C(1) << 62, UINT32_MAX},
                                            {-(INT64_C(1) << 62), 1},
                                            {-1, UINT32_C(1) << 31}};
    struct judge judge;
    start_judge(&judge);
    for (int i = 0; i < 6 * 5 * 3 * 2 * 5; i++) {
        struct question q = {origins[i % 5],
                             lengths[i / 5 % 6],
                             {tempi[i / 30 % 3], beats[i / 90 % 5]},
                             edges[i / 450]};
        check_place(&judge, &q);
    }
    end_judge(&judge);
}

/* references.md 4.4: frame of beat k = round(k * fs * 60/BPM), beats 1 to 4 and 100. */
static void test_published_beat_frames(void **state)
{
    (void)state;
    static const struct {
        uint32_t rate_hz;
        int32_t mbpm;
        int64_t frame[5];
    } row[] = {
        {48000, 60000, {48000, 96000, 144000, 192000, 4800000}},
        {48000, 120000, {24000, 48000, 72000, 96000, 2400000}},
        {48000, 144000, {20000, 40000, 60000, 80000, 2000000}},
        {48000, 63000, {45714, 91429, 137143, 182857, 4571429}},
        {48000, 92000, {31304, 62609, 93913, 125217, 3130435}},
        {48000, 132000, {21818, 43636, 65455, 87273, 2181818}},
        {48000, 138000, {20870, 41739, 62609, 83478, 2086957}},
        {48000, 140000, {20571, 41143, 61714, 82286, 2057143}},
        {48000, 208000, {13846, 27692, 41538, 55385, 1384615}},
        {44100, 140000, {18900, 37800, 56700, 75600, 1890000}},
        {44100, 72000, {36750, 73500, 110250, 147000, 3675000}},
        {44100, 63000, {42000, 84000, 126000, 168000, 4200000}},
        {44100, 92000, {28761, 57522, 86283, 115043, 2876087}},
        {44100, 208000, {12721, 25442, 38163, 50885, 1272115}},
    };
    static const int64_t beat[5] = {1, 2, 3, 4, 100};
    const struct passo_instant zero = {0, 0};
    for (size_t i = 0; i < sizeof row / sizeof row[0]; i++) {
        struct passo_tempo tempo = {row[i].mbpm, quarter};
        for (size_t k = 0; k < 5; k++)
            assert_int_equal(passo_tempo_frame(zero, ratio(beat[k], 4), tempo, row[i].rate_hz),
                             row[i].frame[k]);
    }
    /* trade.md section 2-3 (a) 1: at 88.5, beat 1000 falls at 32,542,373 */
    struct passo_tempo tempo = {88500, quarter};
    assert_int_equal(passo_tempo_frame(zero, ratio(1000, 4), tempo, 48000), 32542373);
    /* references.md 4.4: one hour at 140 ends on the frame, where a rounded period is 3600 off */
    tempo.mbpm = 140000;
    assert_int_equal(passo_tempo_frame(zero, ratio(8400, 4), tempo, 48000), INT64_C(3600) * 48000);
}

/* trade.md section 2-3 (a) 2: 6/8 "at 88" is three times wrong if it is read as eighths. */
static void test_the_beat_unit_counts(void **state)
{
    (void)state;
    struct passo_tempo dotted = {88000, {3, 8}};
    struct passo_tempo eighths = {264000, {1, 8}};
    struct passo_ratio bar = {6, 8};
    assert_int_equal(passo_tempo_ns(bar, dotted), passo_tempo_ns(bar, eighths));
    assert_int_equal(passo_tempo_ns(bar, dotted), 1363636364);
    struct passo_tempo wrong = {88000, {1, 8}};
    assert_int_equal(passo_tempo_ns(bar, wrong), 4090909091);
}

static void test_nanoseconds_are_the_rounded_exact_ones(void **state)
{
    (void)state;
    uint64_t seed = 2;
    struct judge judge;
    start_judge(&judge);
    for (int i = 0; i < 100000; i++) {
        struct question q = random_question(&seed, i);
        exact_frames(judge.length, q.length, q.tempo, 1); /* one frame a second: seconds */
        rounded(judge.expected, judge.length, 1000000000);
        if (mpz_fits_slong_p(judge.expected))
            assert_int_equal(mpz_cmp_si(judge.expected, passo_tempo_ns(q.length, q.tempo)), 0);

        exact_instant(judge.origin, q.origin);
        mpz_mul_ui(mpq_denref(judge.origin), mpq_denref(judge.origin), q.rate_hz);
        rounded(judge.expected, judge.origin, 1000000000);
        if (mpz_fits_slong_p(judge.expected))
            assert_int_equal(mpz_cmp_si(judge.expected, passo_instant_ns(q.origin, q.rate_hz)), 0);
    }
    end_judge(&judge);
}

static void test_instants(void **state)
{
    (void)state;
    struct passo_instant a = {10, UINT32_C(0x80000000)};
    struct passo_instant b = {-3, UINT32_C(0xC0000000)}; /* -2.25 */
    struct passo_instant sum = passo_instant_add(a, b);
    assert_int_equal(sum.frame, 8);
    assert_int_equal(sum.fraction, 0x40000000);
    struct passo_instant back = passo_instant_sub(sum, a);
    assert_int_equal(passo_instant_cmp(back, b), 0);
    assert_int_equal(passo_instant_cmp(b, a), -1);
    assert_int_equal(passo_instant_cmp(a, b), 1);
    assert_int_equal(passo_instant_frame(a), 11); /* half up */
    assert_int_equal(passo_instant_frame(b), -2);
    assert_int_equal(passo_instant_frame(sum), 8);
    /* 10.5 * 1.5 = 15.75; 1/3 of 2^-32 is cut */
    struct passo_instant scaled = passo_instant_scale(a, 1500);
    assert_int_equal(scaled.frame, 15);
    assert_int_equal(scaled.fraction, 0xC0000000);
    scaled = passo_instant_scale((struct passo_instant){0, 2}, 999);
    assert_int_equal(scaled.fraction, 1);
    struct passo_instant most = {INT64_MAX, UINT32_MAX};
    assert_int_equal(passo_instant_cmp(passo_instant_scale(most, 1000), most), 0);
}

static void test_milliseconds(void **state)
{
    (void)state;
    struct passo_instant at = passo_instant_from_ms(1, 44100); /* 44.1 frames */
    assert_int_equal(at.frame, 44);
    assert_int_equal(at.fraction, 429496730); /* 0.1 * 2^32 = 429496729.6 */
    at = passo_instant_from_ms(-1, 44100);
    assert_int_equal(at.frame, -45);
    uint64_t seed = 3;
    for (int i = 0; i < 100000; i++) {
        int64_t ms = random_between(&seed, -(INT64_C(1) << 40), INT64_C(1) << 40);
        uint32_t rate_hz = rates[(size_t)i % (sizeof rates / sizeof rates[0])];
        assert_int_equal(passo_instant_ns(passo_instant_from_ms(ms, rate_hz), rate_hz),
                         ms * 1000000);
    }
}

static void test_shares(void **state)
{
    (void)state;
    assert_int_equal(passo_tempo_share(120000, 600), 72000);
    assert_int_equal(passo_tempo_share(63700, 850), 54145);
    assert_int_equal(passo_tempo_share(88501, 500), 44251); /* 44250.5, half up */
    assert_int_equal(passo_tempo_share(88499, 500), 44250); /* 44249.5, half up */
    assert_int_equal(passo_tempo_share(1000000, 100000), 100000000);
    assert_int_equal(passo_tempo_share(120000, 0), 0);
}

static void ask(struct passo_ratio length, int32_t mbpm, struct passo_ratio beat, uint32_t rate_hz)
{
    passo_tempo_frame((struct passo_instant){0, 0}, length, (struct passo_tempo){mbpm, beat},
                      rate_hz);
}

static void too_long(void)
{
    ask(ratio(INT64_C(1) << 24, 1), 60000, quarter, 48000);
}

static void too_fine(void)
{
    ask(ratio(1, (INT64_C(1) << 28) + 1), 60000, quarter, 48000);
}

static void before_the_origin(void)
{
    ask(ratio(-1, 4), 60000, quarter, 48000);
}

static void too_slow(void)
{
    ask(quarter, PASSO_TEMPO_MIN_MBPM - 1, quarter, 48000);
}

static void too_fast(void)
{
    ask(quarter, PASSO_TEMPO_MAX_MBPM + 1, quarter, 48000);
}

static void beat_too_fine(void)
{
    ask(quarter, 60000, ratio(1, 257), 48000);
}

static void no_beat(void)
{
    ask(quarter, 60000, ratio(0, 1), 48000);
}

static void rate_too_low(void)
{
    ask(quarter, 60000, quarter, PASSO_RATE_MIN_HZ - 1);
}

static void rate_too_high(void)
{
    ask(quarter, 60000, quarter, PASSO_RATE_MAX_HZ + 1);
}

static void origin_too_far(void)
{
    struct passo_instant far = {(INT64_C(1) << 62) + 1, 0};
    passo_tempo_advance(far, quarter, (struct passo_tempo){60000, quarter}, 48000);
}

static void nanoseconds_overflow(void)
{
    struct passo_tempo slow = {PASSO_TEMPO_MIN_MBPM, {1, 256}};
    passo_tempo_ns(ratio((INT64_C(1) << 24) - 1, 1), slow);
}

static void frames_overflow(void)
{
    passo_instant_add((struct passo_instant){INT64_MAX, 0}, (struct passo_instant){1, 0});
}

static void milliseconds_overflow(void)
{
    passo_instant_from_ms(INT64_MAX, 48000);
}

static void share_out_of_range(void)
{
    passo_tempo_share(120000, 100001);
}

static void test_out_of_range_stops_the_program(void **state)
{
    (void)state;
    void (*const call[])(void) = {too_long,
                                  too_fine,
                                  before_the_origin,
                                  too_slow,
                                  too_fast,
                                  beat_too_fine,
                                  no_beat,
                                  rate_too_low,
                                  rate_too_high,
                                  origin_too_far,
                                  frames_overflow,
                                  nanoseconds_overflow,
                                  share_out_of_range,
                                  milliseconds_overflow};
    for (size_t i = 0; i < sizeof call / sizeof call[0]; i++)
        assert_true(stops_the_program(call[i]));
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_a_million_positions),
        cmocka_unit_test(test_extremes),
        cmocka_unit_test(test_published_beat_frames),
        cmocka_unit_test(test_the_beat_unit_counts),
        cmocka_unit_test(test_nanoseconds_are_the_rounded_exact_ones),
        cmocka_unit_test(test_instants),
        cmocka_unit_test(test_milliseconds),
        cmocka_unit_test(test_shares),
        cmocka_unit_test(test_out_of_range_stops_the_program),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
