/* The tone's rises and ends: never a step, the same in any blocks, the phase kept where the pitch
 * stays. On the slots alone, and through the player. Sounds are far under the limiter's knee. */
#include "help.h"

#include "sound/tone.h"

#include <math.h>

#define RATE_HZ 48000
#define ATTACK  1920 /* 40 ms */
#define RELEASE 3840 /* 80 ms */
#define FADE    240  /* 5 ms */
#define FRAMES  48000
#define LOW_HZ  58.27047F
#define HIGH_HZ 87.30706F
#define LEVEL   0.25F
#define PI      3.14159265358979323846F

static struct passo_waves waves;
static float whole[FRAMES];
static float split[FRAMES];

static struct passo_tones quiet(void)
{
    struct passo_tones tones;
    passo_tones_init(&tones, &waves, RATE_HZ);
    return tones;
}

static void start(struct passo_tones *tones, float hz)
{
    passo_tones_start(tones, (struct passo_tone){hz, LEVEL});
}

/* Mixes into cleared frames and returns where they end. */
static float *mix(struct passo_tones *tones, float *out, size_t frames)
{
    memset(out, 0, frames * sizeof *out);
    passo_tones_mix(tones, out, frames);
    return out + frames;
}

static float steepest(const float *out, size_t frames)
{
    float most = 0;
    for (size_t i = 1; i < frames; i++)
        most = fmaxf(most, fabsf(out[i] - out[i - 1]));
    return most;
}

/* The steepest that the steady tone of a pitch is by itself. */
static float slope_of(float hz)
{
    static float steady[RATE_HZ / 4];
    struct passo_tones tones = quiet();
    start(&tones, hz);
    passo_tones_mix(&tones, NULL, ATTACK);
    mix(&tones, steady, RATE_HZ / 4);
    return steepest(steady, RATE_HZ / 4);
}

/* The steepest frame of a raised cosine of so many frames, over the full level. */
static float ramp_slope(int frames)
{
    return LEVEL * PI / 2 / (float)frames;
}

/* --- rise and end --- */

/* From nothing to the level in 40 ms and back in 80: each frame is the steady tone's times a raised
 * cosine, and no frame is a step. */
static void test_rise_and_end(void **state)
{
    (void)state;
    static float steady[FRAMES];
    struct passo_tones tones = quiet();
    start(&tones, LOW_HZ);
    float *out = mix(&tones, whole, 9600);
    passo_tones_release(&tones);
    mix(&tones, out, FRAMES - 9600);
    tones = quiet();
    passo_tones_start(&tones, (struct passo_tone){LOW_HZ, LEVEL});
    tones.slot[PASSO_TONE_SLOTS - 1].left = 0; /* at its level from the first frame on */
    mix(&tones, steady, FRAMES);
    for (int i = 0; i < FRAMES; i++) {
        int gone = i - 9600;
        float gain = i < ATTACK       ? 0.5F - 0.5F * cosf(PI * (float)i / ATTACK)
                     : gone < 0       ? 1.0F
                     : gone < RELEASE ? 0.5F + 0.5F * cosf(PI * (float)gone / RELEASE)
                                      : 0.0F;
        assert_true(fabsf(whole[i] - gain * steady[i]) < 2e-6F);
    }
    assert_true(whole[0] == 0.0F);
    assert_true(whole[9600 + RELEASE] == 0.0F && fabsf(whole[9600 + RELEASE - 1]) < 1e-6F);
    assert_true(steepest(whole, FRAMES) <= slope_of(LOW_HZ) * 1.0001F);
}

static void test_it_sounds_until_its_end(void **state)
{
    (void)state;
    struct passo_tones tones = quiet();
    assert_false(passo_tones_sound(&tones));
    start(&tones, LOW_HZ);
    assert_true(passo_tones_sound(&tones));
    passo_tones_mix(&tones, NULL, 1000000);
    passo_tones_release(&tones);
    passo_tones_mix(&tones, NULL, RELEASE - 1);
    assert_true(passo_tones_sound(&tones));
    passo_tones_release(&tones); /* it ends already: no longer for that */
    passo_tones_mix(&tones, NULL, 1);
    assert_false(passo_tones_sound(&tones));
    start(&tones, LOW_HZ);
    passo_tones_mix(&tones, NULL, ATTACK);
    passo_tones_fade(&tones);
    passo_tones_mix(&tones, NULL, FADE - 1);
    assert_true(passo_tones_sound(&tones));
    passo_tones_fade(&tones);
    passo_tones_mix(&tones, NULL, 1);
    assert_false(passo_tones_sound(&tones));
}

/* Released or faded at any moment of its rise, and faded at any of its end: no step. */
static void test_ended_on_the_way(void **state)
{
    (void)state;
    float slope = slope_of(LOW_HZ);
    for (size_t at = 0; at <= ATTACK + 960; at += 37) {
        struct passo_tones tones = quiet();
        start(&tones, LOW_HZ);
        float *out = mix(&tones, whole, at);
        passo_tones_release(&tones);
        out = mix(&tones, out, at / 2);
        bool fades = at % 2;
        if (fades)
            passo_tones_fade(&tones);
        float *end = mix(&tones, out, RELEASE);
        assert_true(steepest(whole, (size_t)(end - whole)) <= slope + ramp_slope(FADE) * 1.001F);
        assert_false(passo_tones_sound(&tones));
        if (fades)
            assert_true(out[FADE] == 0.0F);
    }
}

/* --- one tone after another --- */

/* TONE_OFF and TONE_ON of one pitch on one frame are nothing at all; after a gap the tone comes
 * back on its phase. */
static void test_the_same_pitch_goes_on(void **state)
{
    (void)state;
    struct passo_tones tones = quiet();
    start(&tones, LOW_HZ);
    mix(&tones, whole, FRAMES);
    static const size_t gaps[] = {0, 1, 480, RELEASE - 1};
    for (size_t g = 0; g < sizeof gaps / sizeof *gaps; g++) {
        tones = quiet();
        start(&tones, LOW_HZ);
        float *out = mix(&tones, split, 10007);
        passo_tones_release(&tones);
        out = mix(&tones, out, gaps[g]);
        start(&tones, LOW_HZ);
        mix(&tones, out, FRAMES - 10007 - gaps[g]);
        assert_memory_equal(split, whole, 10007 * sizeof *split);
        size_t back = gaps[g] ? 10007 + gaps[g] + ATTACK : 0;
        assert_memory_equal(split + back, whole + back, (FRAMES - back) * sizeof *split);
        assert_true(steepest(split, FRAMES) <= slope_of(LOW_HZ) * 1.0001F);
    }
}

/* Another level of the same pitch is reached without a new tone. */
static void test_the_same_pitch_at_another_level(void **state)
{
    (void)state;
    struct passo_tones tones = quiet();
    start(&tones, LOW_HZ);
    mix(&tones, whole, FRAMES);
    tones = quiet();
    start(&tones, LOW_HZ);
    float *out = mix(&tones, split, 10000);
    passo_tones_start(&tones, (struct passo_tone){LOW_HZ, LEVEL / 2});
    mix(&tones, out, FRAMES - 10000);
    for (size_t i = 10000 + ATTACK; i < FRAMES; i++)
        assert_true(split[i] == whole[i] / 2);
    assert_true(steepest(split, FRAMES) <= slope_of(LOW_HZ) * 1.0001F);
}

/* Another pitch: the old one rings out under the new one's rise, and is gone after 80 ms. */
static void test_another_pitch_crossfades(void **state)
{
    (void)state;
    static float second[FRAMES];
    struct passo_tones tones = quiet();
    start(&tones, HIGH_HZ);
    mix(&tones, second, FRAMES);
    tones = quiet();
    start(&tones, LOW_HZ);
    float *out = mix(&tones, whole, 10000);
    start(&tones, HIGH_HZ);
    mix(&tones, out, FRAMES - 10000);
    assert_memory_equal(out + RELEASE, second + RELEASE, (FRAMES - 10000 - RELEASE) * sizeof *out);
    assert_true(steepest(whole, FRAMES) <= slope_of(LOW_HZ) + slope_of(HIGH_HZ));
    float between = 0; /* both are heard in the middle of it */
    for (size_t i = 0; i < RELEASE / 2; i++)
        between = fmaxf(between, fabsf(out[i] - second[i]));
    assert_true(between > LEVEL / 2);
    start(&tones, 0.0F); /* no tone: the end of the one that sounds */
    passo_tones_mix(&tones, NULL, RELEASE);
    assert_false(passo_tones_sound(&tones));
}

/* Five pitches within 13 ms: four have slots, the fifth does not begin, and nothing steps. */
static void test_more_pitches_than_slots(void **state)
{
    (void)state;
    struct passo_tones tones = quiet();
    float *out = whole;
    float slope = 0;
    for (int i = 0; i < 5; i++) {
        start(&tones, LOW_HZ + 10 * (float)i);
        out = mix(&tones, out, 120);
        slope += slope_of(LOW_HZ + 10 * (float)i);
    }
    out = mix(&tones, out, RELEASE);
    assert_true(steepest(whole, (size_t)(out - whole)) <= slope);
    assert_false(passo_tones_sound(&tones));
    start(&tones, LOW_HZ); /* and all have come back */
    assert_true(passo_tones_sound(&tones));
}

/* --- through the player --- */

struct step {
    int64_t frame;
    char command; /* p play, s stop, l level, c cue */
    float hz;
    int64_t at; /* start or stop; level in percent */
    int clicks; /* 1000 frames apart */
};

/* One pitch into itself and into another, stops in the rise, in the steady tone and in the end, and
 * a pass without a tone under the end of one with it. */
static const struct step script[] = {
    {0, 'p', LOW_HZ, 500, 5},       {0, 'p', LOW_HZ, 500, 3},       {0, 'p', HIGH_HZ, 500, 4},
    {333, 'l', 0, 50, 0},           {7000, 'l', 0, 100, 0},         {14000, 's', 0, 14321, 0},
    {14500, 'p', LOW_HZ, 14500, 5}, {15500, 's', 0, 15555, 0},      {15600, 'p', LOW_HZ, 15600, 2},
    {17700, 's', 0, 17700, 0},      {17701, 'p', LOW_HZ, 18000, 3}, {19000, 'p', 0, 20000, 4},
    {22000, 's', 0, 22222, 0},      {30000, 'c', 0, 30000, 0},      {33000, 'p', HIGH_HZ, 0, 9},
};
#define STEPS (sizeof script / sizeof *script)

static void give(struct passo_player *player, const struct step *step)
{
    enum passo_error error = PASSO_OK;
    struct passo_timeline *pass;
    switch (step->command) {
    case 'p':
        pass = steady(1, RATE_HZ, step->at, 1000, step->clicks);
        error = passo_player_play(player, step->hz > 0 ? toned(pass, step->hz, LEVEL) : pass);
        break;
    case 's':
        error = passo_player_stop(player, step->at);
        break;
    case 'l':
        error = passo_player_level(player, (float)step->at / 100.0F);
        break;
    case 'c':
        error = passo_player_cue(player, PASSO_CUE_TICK, step->at);
        break;
    }
    assert_int_equal(error, PASSO_OK);
}

/* block 0: from command to command. every: synthesis is left out of all blocks but each so-manieth.
 */
static void play_script(float *out, size_t block, int every)
{
    struct passo_player *player = plain_player(RATE_HZ, 7, 1024);
    struct passo_notice notice;
    size_t next = 0;
    size_t now = 0;
    memset(out, 0, FRAMES * sizeof *out);
    for (int turn = 0; now < FRAMES; turn++) {
        for (; next < STEPS && script[next].frame == (int64_t)now; next++)
            give(player, &script[next]);
        size_t end = next < STEPS ? (size_t)script[next].frame : FRAMES;
        size_t frames = block && now + block < end ? block : end - now;
        passo_player_render(player, turn % every ? NULL : out + now, frames, 0);
        while (passo_player_notice(player, &notice))
            continue;
        now += frames;
    }
    passo_player_destroy(player);
}

static void test_any_split_gives_the_same(void **state)
{
    (void)state;
    static const size_t blocks[] = {1, 7, 64, 1000};
    play_script(whole, 0, 1);
    for (size_t i = 0; i < sizeof blocks / sizeof *blocks; i++) {
        play_script(split, blocks[i], 1);
        assert_memory_equal(split, whole, sizeof whole);
    }
    play_script(split, 64, 3); /* in between walked only */
    size_t compared = 0;
    for (size_t i = 0; i < FRAMES; i++) {
        assert_true(split[i] == 0.0F || split[i] == whole[i]);
        compared += split[i] != 0.0F;
    }
    assert_in_range(compared, FRAMES / 8, FRAMES / 2);
}

/* A pass of a tone alone. */
static struct passo_timeline *drone(float hz, int64_t start_frame, int64_t frames)
{
    const struct passo_event end = {.frame = frames, .kind = PASSO_EVENT_END};
    return toned(timeline(1, RATE_HZ, start_frame, &end, 1), hz, LEVEL);
}

static struct passo_player *playing(float hz, int64_t frames)
{
    struct passo_player *player = plain_player(RATE_HZ, 7, 16);
    assert_int_equal(passo_player_play(player, drone(hz, 0, frames)), PASSO_OK);
    return player;
}

/* A stop in the rise, in the steady tone and in the last ring: silence 5 ms later, without a step.
 */
static void test_a_stop_fades(void **state)
{
    (void)state;
    static const int64_t stops[] = {10, 700, ATTACK, 12345};
    for (size_t i = 0; i < sizeof stops / sizeof *stops; i++) {
        struct passo_player *player = playing(LOW_HZ, 40000);
        passo_player_render(player, whole, 2, 0); /* it has begun */
        assert_int_equal(passo_player_stop(player, stops[i]), PASSO_OK);
        passo_player_render(player, whole + 2, FRAMES - 2, 0);
        assert_true(whole[stops[i] - 1] != 0.0F);
        for (int64_t k = stops[i] + FADE; k < FRAMES; k++)
            assert_true(whole[k] == 0.0F);
        assert_true(steepest(whole, FRAMES) <= slope_of(LOW_HZ) + ramp_slope(FADE) * 1.001F);
        passo_player_destroy(player);
    }
}

/* It ends with its pass, softly, also where a timeline forgot to end it; what follows at another
 * pitch or at the same begins on its own frame. */
static void test_it_ends_with_its_pass(void **state)
{
    (void)state;
    struct passo_player *player = playing(LOW_HZ, 10000);
    passo_player_render(player, whole, FRAMES, 0);
    passo_player_destroy(player);
    assert_true(whole[0] == 0.0F && whole[1] != 0.0F);
    assert_true(fabsf(whole[10000 + RELEASE - 100]) < 1e-3F);
    assert_true(whole[10000 + RELEASE] == 0.0F);
    const struct passo_event forgot = {.kind = PASSO_EVENT_TONE_ON};
    const struct passo_event late[] = {forgot, {.frame = 10000, .kind = PASSO_EVENT_BODY}};
    player = plain_player(RATE_HZ, 7, 16);
    struct passo_timeline *open = timeline(1, RATE_HZ, 0, late, 2);
    open->tone = (struct passo_tone){LOW_HZ, LEVEL};
    assert_int_equal(passo_player_play(player, open), PASSO_OK);
    passo_player_render(player, split, FRAMES, 0);
    passo_player_destroy(player);
    assert_memory_equal(split, whole, sizeof whole);
}

static void test_passes_of_one_pitch_are_one_tone(void **state)
{
    (void)state;
    struct passo_player *player = playing(LOW_HZ, FRAMES);
    passo_player_render(player, whole, FRAMES, 0);
    passo_player_destroy(player);
    player = playing(LOW_HZ, 10000);
    assert_int_equal(passo_player_play(player, drone(LOW_HZ, 10000, 9000)), PASSO_OK);
    assert_int_equal(passo_player_play(player, drone(LOW_HZ, 0, FRAMES)), PASSO_OK);
    passo_player_render(player, split, FRAMES, 0);
    passo_player_destroy(player);
    assert_memory_equal(split, whole, sizeof whole);
}

/* A level set while nothing but a tone sounds is reached on a line: no step. Its peak is the level
 * times the output's. */
static void test_levels(void **state)
{
    (void)state;
    struct passo_player *player = playing(LOW_HZ, FRAMES);
    passo_player_render(player, whole, 12000, 0);
    assert_int_equal(passo_player_level(player, 0.5F), PASSO_OK);
    passo_player_render(player, whole + 12000, FRAMES - 12000, 0);
    passo_player_destroy(player);
    float line = LEVEL * 0.5F / 480; /* 10 ms */
    assert_true(steepest(whole, FRAMES) <= slope_of(LOW_HZ) + line * 1.001F);
    float before = 0;
    float after = 0;
    for (size_t i = 2000; i < 12000; i++)
        before = fmaxf(before, fabsf(whole[i]));
    for (size_t i = 13000; i < FRAMES; i++)
        after = fmaxf(after, fabsf(whole[i]));
    assert_true(fabsf(before / LEVEL - 1) < 0.01F);
    assert_true(fabsf(after / LEVEL - 0.5F) < 0.005F);
}

/* Only events are due; a tone that sounds or rings out is not. */
static void test_next_due(void **state)
{
    (void)state;
    struct passo_player *player = playing(LOW_HZ, 10000);
    passo_player_render(player, whole, 64, 0);
    assert_int_equal(passo_player_next_due(player), 10000);
    passo_player_render(player, whole, 10000, 0);
    assert_true(whole[9999] != 0.0F);
    assert_true(passo_player_next_due(player) == INT64_MAX);
    passo_player_destroy(player);
}

/* Another kit: silence, and then the same pitch at the new rate. */
static void test_another_kit(void **state)
{
    (void)state;
    struct passo_player *player = playing(LOW_HZ, FRAMES);
    passo_player_render(player, whole, 5000, 0);
    struct passo_kit kit = plain_kit(96000, 7);
    passo_player_rekit(player, &kit);
    passo_player_render(player, whole, 5000, 0);
    for (size_t i = 0; i < 5000; i++)
        assert_true(whole[i] == 0.0F);
    struct passo_timeline *again = drone(LOW_HZ, 0, FRAMES);
    again->rate_hz = 96000;
    assert_int_equal(passo_player_play(player, again), PASSO_OK);
    passo_player_render(player, split, FRAMES, 0);
    passo_player_destroy(player);
    struct passo_tones tones = quiet();
    start(&tones, LOW_HZ);
    mix(&tones, whole, FRAMES / 2);
    for (size_t i = 0; i < FRAMES / 2; i++) /* every second frame is one of 48 kHz */
        assert_true(fabsf(split[2 * i] - whole[i]) < 1e-5F);
}

static int make_waves(void **state)
{
    (void)state;
    passo_waves_init(&waves);
    return 0;
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_rise_and_end),
        cmocka_unit_test(test_it_sounds_until_its_end),
        cmocka_unit_test(test_ended_on_the_way),
        cmocka_unit_test(test_the_same_pitch_goes_on),
        cmocka_unit_test(test_the_same_pitch_at_another_level),
        cmocka_unit_test(test_another_pitch_crossfades),
        cmocka_unit_test(test_more_pitches_than_slots),
        cmocka_unit_test(test_any_split_gives_the_same),
        cmocka_unit_test(test_a_stop_fades),
        cmocka_unit_test(test_it_ends_with_its_pass),
        cmocka_unit_test(test_passes_of_one_pitch_are_one_tone),
        cmocka_unit_test(test_levels),
        cmocka_unit_test(test_next_due),
        cmocka_unit_test(test_another_kit),
    };
    return cmocka_run_group_tests(tests, make_waves, NULL);
}
