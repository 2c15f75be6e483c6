/* The tone through the player: in any blocks, through stops, levels, changes of pitch and of kit.
 */
#include "tone_tools.h"

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
    open->tone = &(const struct passo_tone){.hz = LOW_HZ, .level = LEVEL};
    assert_int_equal(passo_player_play(player, open), PASSO_OK);
    passo_player_render(player, split, FRAMES, 0);
    passo_player_destroy(player);
    assert_memory_equal(split, whole, sizeof whole);
}

/* TONE_OFF ends it where it stands, with the pass going on; TONE_ON begins it again. */
static void test_its_own_events(void **state)
{
    (void)state;
    static const struct passo_event events[] = {
        {.frame = 100, .kind = PASSO_EVENT_TONE_ON},
        {.frame = 10000, .kind = PASSO_EVENT_TONE_OFF},
        {.frame = 20000, .kind = PASSO_EVENT_TONE_ON},
        {.frame = FRAMES, .kind = PASSO_EVENT_END},
    };
    struct passo_player *player = plain_player(RATE_HZ, 7, 16);
    struct passo_timeline *pass = timeline(1, RATE_HZ, 0, events, 4);
    pass->tone = &(const struct passo_tone){.hz = LOW_HZ, .level = LEVEL};
    assert_int_equal(passo_player_play(player, pass), PASSO_OK);
    passo_player_render(player, whole, FRAMES, 0);
    passo_player_destroy(player);
    for (size_t i = 0; i < FRAMES; i++) {
        bool silent = i <= 100 || (i >= 10000 + RELEASE && i <= 20000);
        assert_true(!silent || whole[i] == 0.0F);
    }
    assert_true(whole[101] != 0.0F && whole[20001] != 0.0F && whole[FRAMES - 1] != 0.0F);
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

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_any_split_gives_the_same),
        cmocka_unit_test(test_a_stop_fades),
        cmocka_unit_test(test_it_ends_with_its_pass),
        cmocka_unit_test(test_its_own_events),
        cmocka_unit_test(test_passes_of_one_pitch_are_one_tone),
        cmocka_unit_test(test_levels),
        cmocka_unit_test(test_next_due),
        cmocka_unit_test(test_another_kit),
    };
    return cmocka_run_group_tests(tests, make_waves, NULL);
}
