/* Rendering is a pure function of state, commands and frames: any split into blocks gives the same
 * samples, bit by bit, and the same notices; so does walking without synthesis. And no split and no
 * command ever makes a step in the sound. Commands come at block starts: the splits meet there. */
#include "help.h"

#include <math.h>

#define RATE_HZ  50000 /* a frame is 20 us exactly, so that notices' times compare exactly too */
#define FRAME_NS 20000
#define FRAMES   150000
#define NOTICES  2048

struct step {
    int64_t frame; /* when the command is given */
    char command;  /* p play, w withdraw, s stop, c cue, h hush, l level, u underflow */
    int64_t a;     /* start, stop or cue frame; level in thousandths */
    int32_t b;     /* clicks of the timeline, or the cue */
};

/* Passes on their frames, behind one another, late, withdrawn and stopped; raises and drops (other
 * periods), every cue, levels in the middle of sounds. */
static const struct step script[] = {
    {0, 'l', 600, 0},        {0, 'p', 1000, 12},     {0, 'c', 500, PASSO_CUE_BREATHE},
    {7, 'c', 3000, 0},       {4999, 'l', 1000, 0},   {5000, 'l', 200, 0},
    {5200, 'l', 900, 0},     {9000, 'p', 20000, 20}, {9000, 'p', 20000, 9},
    {12345, 'c', 0, 1},      {15000, 'c', 16000, 2}, {15000, 'c', 16000, 3},
    {17001, 'h', 0, 0},      {23000, 's', 23456, 0}, {23001, 'p', 20000, 40},
    {30000, 'p', 90000, 5},  {31000, 'w', 0, 0},     {31001, 'p', 95000, 30},
    {40000, 'c', 40000, 4},  {40000, 'c', 40000, 5}, {40000, 'c', 40001, 6},
    {40001, 'c', 40000, 7},  {52000, 'u', 0, 0},     {60000, 's', 0, 0},
    {60100, 'p', 60050, 60}, {90000, 's', 95500, 0}, {90000, 'p', 100000, 63},
    {120000, 'l', 0, 0},     {121000, 'l', 1000, 0},
};
#define STEPS (sizeof script / sizeof *script)

struct record {
    float sample[FRAMES];
    struct passo_notice notice[NOTICES];
    size_t notices;
};

static void give(struct passo_player *player, const struct step *step, size_t index)
{
    enum passo_error error = PASSO_OK;
    int64_t period = 300 + 97 * (int64_t)(index % 11); /* down to voices that overlap */
    switch (step->command) {
    case 'p':
        error = passo_player_play(player, steady(index, RATE_HZ, step->a, period, step->b));
        break;
    case 'w':
        error = passo_player_withdraw(player);
        break;
    case 's':
        error = passo_player_stop(player, step->a);
        break;
    case 'c':
        error = passo_player_cue(player, (enum passo_cue)step->b, step->a);
        break;
    case 'h':
        error = passo_player_hush(player);
        break;
    case 'l':
        error = passo_player_level(player, (float)step->a / 1000.0F);
        break;
    case 'u':
        passo_player_late(player);
        break;
    }
    assert_int_equal(error, PASSO_OK);
}

static void collect(struct passo_player *player, struct record *record)
{
    struct passo_notice notice;
    while (passo_player_notice(player, &notice)) {
        assert_in_range(record->notices, 0, NOTICES - 1);
        record->notice[record->notices++] = notice;
    }
}

/* block > 0: that many frames each; 0: as many as a random row says; -1: from command to command.
 * every_other: leaves out the synthesis of every second block. */
static void play_script(struct record *record, int64_t block, unsigned seed, bool every_other)
{
    struct passo_kit kit;
    passo_kit_init(&kit, PASSO_TIMBRE_RIM, RATE_HZ);
    struct passo_player *player = passo_player_create(&kit, 1024);
    memset(record, 0, sizeof *record);
    size_t next = 0;
    int64_t now = 0;
    for (int turn = 0; now < FRAMES; turn++) {
        for (; next < STEPS && script[next].frame == now; next++)
            give(player, &script[next], next);
        int64_t end = next < STEPS ? script[next].frame : FRAMES;
        seed = seed * 1664525U + 1013904223U;
        int64_t frames = block ? block : (int64_t)(1 + (seed >> 16) % 700);
        if (block < 0 || now + frames > end)
            frames = end - now;
        bool silent = every_other && turn % 2;
        passo_player_render(player, silent ? NULL : record->sample + now, (size_t)frames,
                            now * FRAME_NS);
        collect(player, record);
        now += frames;
    }
    passo_player_destroy(player);
}

static struct record whole;
static struct record split;

static void check_notices(void)
{
    assert_int_equal(split.notices, whole.notices);
    for (size_t i = 0; i < whole.notices; i++) {
        const struct passo_notice *a = &split.notice[i];
        const struct passo_notice *b = &whole.notice[i];
        assert_int_equal(a->id, b->id);
        assert_int_equal(a->frame, b->frame);
        assert_int_equal(a->heard_ns, b->heard_ns);
        assert_int_equal(a->bar, b->bar);
        assert_int_equal(a->kind, b->kind);
        assert_int_equal(a->click, b->click);
        assert_int_equal(a->beat, b->beat);
        assert_int_equal(a->of, b->of);
    }
}

static void check_split(int64_t block, unsigned seed)
{
    play_script(&split, block, seed, false);
    assert_memory_equal(split.sample, whole.sample, sizeof whole.sample);
    check_notices();
}

static void test_any_split_gives_the_same(void **state)
{
    (void)state;
    play_script(&whole, -1, 0, false);
    assert_in_range(whole.notices, 150, NOTICES);
    check_split(1, 0);
    check_split(7, 0);
    check_split(64, 0);
    check_split(1024, 0);
    for (unsigned seed = 1; seed <= 5; seed++)
        check_split(0, seed);
}

/* The silent clock may take over in the middle of a sound and give it back: what is synthesized is
 * as if nothing had been left out. */
static void test_walking_without_synthesis(void **state)
{
    (void)state;
    play_script(&whole, -1, 0, false);
    play_script(&split, 64, 0, true);
    check_notices();
    size_t compared = 0;
    for (size_t i = 0; i < FRAMES; i++) {
        if (split.sample[i] != 0.0F) {
            assert_true(split.sample[i] == whole.sample[i]);
            compared++;
        }
    }
    assert_in_range(compared, FRAMES / 20, FRAMES);
}

/* Between neighbours the sum moves no faster than the sounds themselves do: the steepest click of
 * the kit, for as many as overlap here (the shortest period holds 5 clicks at once, and cues). A
 * step from a stop, a level or a block border of the mix at full swing would be far above it. */
static void test_no_steps(void **state)
{
    (void)state;
    struct passo_kit kit;
    float steepest = 0;
    passo_kit_init(&kit, PASSO_TIMBRE_RIM, RATE_HZ);
    for (size_t c = 0; c < PASSO_CLICK_COUNT_OF; c++) {
        for (size_t i = 1; i < kit.click[c].frames; i++)
            steepest = fmaxf(steepest, fabsf(kit.click[c].frame[i] - kit.click[c].frame[i - 1]));
    }
    passo_kit_deinit(&kit);
    play_script(&whole, 64, 0, false);
    float most = 0;
    for (size_t i = 1; i < FRAMES; i++) {
        assert_true(fabsf(whole.sample[i]) <= 1.0F);
        most = fmaxf(most, fabsf(whole.sample[i] - whole.sample[i - 1]));
    }
    assert_true(most > steepest / 4);
    assert_true(most < steepest * 1.2F);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_any_split_gives_the_same),
        cmocka_unit_test(test_walking_without_synthesis),
        cmocka_unit_test(test_no_steps),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
