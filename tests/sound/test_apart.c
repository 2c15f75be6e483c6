/* Clicks and tones rendered apart: together they are what one render gives, each holds its own, and
 * level, stops and notices go as they do there. A plain kit's samples and the level 1/2 are exact
 * in binary, so that the sums differ by the rounding of floats alone. */
#include "tone_tools.h"

#include "sound/mixer.h"

#define BLOCK ((size_t)480)

static float clicks[FRAMES];
static float tones[FRAMES];

static const struct passo_tone line[] = {
    {.hz = LOW_HZ, .level = 0.1F},
    {.hz = 233.08188F, .level = 0.2F, .layer = PASSO_LAYER_NOTE, .onset = PASSO_ONSET_TONGUED},
    {.hz = 261.62557F, .level = 0.2F, .layer = PASSO_LAYER_NOTE, .onset = PASSO_ONSET_SLURRED},
};

static const struct passo_event events[] = {
    {.frame = 0, .bar = 0, .kind = PASSO_EVENT_TONE_ON},
    {.frame = 0, .bar = 1, .kind = PASSO_EVENT_TONE_ON},
    {.frame = 0, .bar = 1, .kind = PASSO_EVENT_CLICK, .beat = 1, .of = 2},
    {.frame = 9000, .bar = 2, .kind = PASSO_EVENT_TONE_ON},
    {.frame = 9000, .bar = 1, .kind = PASSO_EVENT_CLICK, .beat = 2, .of = 2},
    {.frame = 17000, .bar = 2, .kind = PASSO_EVENT_TONE_OFF},
    {.frame = 30000, .bar = 0, .kind = PASSO_EVENT_TONE_OFF},
    {.frame = 30000, .kind = PASSO_EVENT_END},
};

static struct passo_player *playing(void)
{
    struct passo_player *player = plain_player(RATE_HZ, 3000, 64);
    struct passo_timeline *pass = timeline(1, RATE_HZ, 100, events, sizeof events / sizeof *events);
    pass->tones = sizeof line / sizeof *line;
    pass->tone = line;
    assert_int_equal(passo_player_play(player, pass), PASSO_OK);
    assert_int_equal(passo_player_cue(player, PASSO_CUE_TICK, 14000), PASSO_OK);
    return player;
}

/* The level goes down while all sounds, and a stop cuts the drone. */
static void command(struct passo_player *player, size_t frame)
{
    if (frame == 10 * BLOCK)
        assert_int_equal(passo_player_level(player, 0.5F), PASSO_OK);
    if (frame == 50 * BLOCK)
        assert_int_equal(passo_player_stop(player, 50 * BLOCK + 33), PASSO_OK);
}

/* block: divides BLOCK. */
static void render_apart(size_t block)
{
    struct passo_player *player = playing();
    for (size_t i = 0; i < FRAMES; i += block) {
        command(player, i);
        passo_player_render_apart(player, clicks + i, tones + i, block, 0);
    }
    passo_player_destroy(player);
}

static void test_together_they_are_one(void **state)
{
    (void)state;
    struct passo_player *player = playing();
    for (size_t i = 0; i < FRAMES; i += BLOCK) {
        command(player, i);
        passo_player_render(player, whole + i, BLOCK, 0);
    }
    passo_player_destroy(player);
    render_apart(BLOCK);
    float loudest = 0;
    for (size_t i = 0; i < FRAMES; i++) {
        loudest = fmaxf(loudest, fabsf(whole[i]));
        assert_true(fabsf(clicks[i] + tones[i] - whole[i]) < 1e-7F);
    }
    assert_true(loudest > 0.15F && loudest < PASSO_LIMIT_KNEE);
}

static void test_each_holds_its_own(void **state)
{
    (void)state;
    render_apart(BLOCK);
    const float bar = plain_click(PASSO_CLICK_BAR);
    const float tick = plain_cue(PASSO_CUE_TICK);
    for (size_t i = 0; i < FRAMES; i++) {
        const bool rings = (i >= 100 && i < 3100) || (i >= 9100 && i < 12100);
        const bool ticks = i >= 14000 && i < 17000;
        if (i < 10 * BLOCK)
            assert_true(clicks[i] == (rings ? bar : 0.0F));
        if (i > 11 * BLOCK)
            assert_true(clicks[i] == (ticks ? tick / 2 : rings ? bar / 2 : 0.0F));
        if (i <= 100 || i >= 50 * BLOCK + 33 + FADE)
            assert_true(tones[i] == 0.0F);
    }
    assert_true(tones[101] != 0.0F);
    assert_true(steepest(tones + 17100 + RELEASE, 2000) > 1e-4F); /* the drone goes on */
}

static void test_any_split_gives_the_same(void **state)
{
    (void)state;
    static const size_t blocks[] = {1, 32, 96};
    render_apart(BLOCK);
    memcpy(whole, clicks, sizeof clicks);
    memcpy(split, tones, sizeof tones);
    for (size_t b = 0; b < sizeof blocks / sizeof *blocks; b++) {
        render_apart(blocks[b]);
        assert_memory_equal(whole, clicks, sizeof clicks);
        assert_memory_equal(split, tones, sizeof tones);
    }
}

/* Each has a limiter of its own: a loud part does not press the other. */
static void test_each_is_limited(void **state)
{
    (void)state;
    struct passo_kit kit = plain_kit(RATE_HZ, 10);
    for (size_t i = 0; i < 10; i++)
        kit.click[PASSO_CLICK_BAR].frame[i] = 3.0F;
    struct passo_player *player = passo_player_create(&kit, 16);
    assert_int_equal(passo_player_play(player, toned(steady(1, RATE_HZ, 0, 5000, 2), LOW_HZ, 0.1F)),
                     PASSO_OK);
    passo_player_render_apart(player, clicks, tones, 20, 0);
    passo_player_destroy(player);
    struct passo_tones alone = quiet();
    passo_tones_start(&alone, (struct passo_tone){.hz = LOW_HZ, .level = 0.1F});
    mix(&alone, whole, 20);
    assert_true(clicks[0] == passo_limit(3.0F) && clicks[0] < 1);
    assert_memory_equal(tones, whole, 20 * sizeof *tones);
}

static void test_the_same_notices(void **state)
{
    (void)state;
    struct passo_player *player = playing();
    passo_player_render_apart(player, clicks, tones, FRAMES, 0);
    expect(player, PASSO_NOTICE_BEGAN, 1, 100);
    expect(player, PASSO_NOTICE_BEAT, 1, 100);
    expect(player, PASSO_NOTICE_BEAT, 1, 9100);
    expect(player, PASSO_NOTICE_ENDED, 1, 30100);
    expect_none(player);
    assert_int_equal(passo_player_rendered(player), FRAMES);
    passo_player_destroy(player);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_together_they_are_one),    cmocka_unit_test(test_each_holds_its_own),
        cmocka_unit_test(test_any_split_gives_the_same), cmocka_unit_test(test_each_is_limited),
        cmocka_unit_test(test_the_same_notices),
    };
    return cmocka_run_group_tests(tests, make_waves, NULL);
}
