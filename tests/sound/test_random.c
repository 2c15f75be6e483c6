/* Random commands on one thread, for AddressSanitizer: tiny rings, odd frames and extremes, broken
 * timelines (no end, not sorted, unknown kinds), change of kit in the middle. What must hold: no
 * sample beyond 1 or not a number, notices of a pass in order, every pass that began is over once.
 */
#include "help.h"

#include <math.h>

#define RATE_HZ 8000

struct world {
    struct passo_player *player;
    uint32_t seed;
    uint32_t rate_hz;
    uint64_t id;
    uint64_t began;
    uint64_t over;
};

static uint32_t draw(struct world *world, uint32_t below)
{
    world->seed = world->seed * 1664525U + 1013904223U;
    return (uint32_t)(((uint64_t)world->seed * below) >> 32);
}

static int64_t odd_frame(struct world *world)
{
    static const int64_t far[] = {INT64_MIN, INT64_MAX, -1, 0, INT64_C(1) << 40};
    if (draw(world, 8) == 0)
        return far[draw(world, 5)];
    return passo_player_rendered(world->player) - 200 + (int64_t)draw(world, 600);
}

static struct passo_timeline *odd_timeline(struct world *world)
{
    struct passo_event event[12];
    size_t count = draw(world, 12);
    for (size_t i = 0; i < count; i++) {
        event[i] = (struct passo_event){
            .frame = (int64_t)draw(world, 500) - 20,
            .kind = (uint8_t)draw(world, 7),
            .click = (uint8_t)draw(world, 9),
        };
    }
    int64_t start = draw(world, 10) ? odd_frame(world) % 100000 : 0;
    struct passo_timeline *made = timeline(world->id, world->rate_hz, start, event, count);
    made->start.fraction = world->seed;
    static const struct passo_tone tone = {.hz = 58.27F, .level = 0.1F};
    made->tones = 1;
    made->tone = &tone;
    return made;
}

static void change_kit(struct world *world)
{
    world->rate_hz = draw(world, 2) ? RATE_HZ : 2 * RATE_HZ;
    struct passo_kit kit = plain_kit(world->rate_hz, 1 + draw(world, 300));
    passo_player_rekit(world->player, &kit);
    world->began = world->over = world->id;
}

static void command(struct world *world)
{
    struct passo_player *player = world->player;
    enum passo_error error = PASSO_OK;
    switch (draw(world, 9)) {
    case 0:
    case 1:
    case 2: {
        struct passo_timeline *pass = odd_timeline(world);
        world->id++;
        if (passo_player_play(player, pass) != PASSO_OK)
            free(pass);
        break;
    }
    case 3:
        error = passo_player_withdraw(player);
        break;
    case 4:
        error = passo_player_stop(player, odd_frame(world));
        break;
    case 5:
        error = passo_player_cue(player, (enum passo_cue)draw(world, PASSO_CUE_COUNT),
                                 odd_frame(world));
        break;
    case 6:
        error = draw(world, 2) ? passo_player_hush(player) : PASSO_OK;
        passo_player_late(player);
        break;
    case 7:
        error = passo_player_level(player, draw(world, 9) ? (float)draw(world, 3) : NAN);
        break;
    case 8:
        if (draw(world, 50) == 0)
            change_kit(world);
        break;
    }
    assert_true(error == PASSO_OK || error == PASSO_ERR_FULL);
}

static void read_notices(struct world *world)
{
    struct passo_notice notice;
    while (draw(world, 6) && passo_player_notice(world->player, &notice)) {
        assert_in_range(notice.kind, 0, PASSO_NOTICE_COUNT - 1);
        if (notice.kind == PASSO_NOTICE_BEGAN) {
            assert_int_equal(world->began, world->over);
            assert_true(notice.id >= world->began);
            world->began = notice.id;
            world->over = UINT64_MAX;
        } else if (notice.kind == PASSO_NOTICE_ENDED || notice.kind == PASSO_NOTICE_STOPPED) {
            assert_int_equal(notice.id, world->began);
            assert_int_equal(world->over, UINT64_MAX);
            world->over = world->began;
        }
    }
}

static void render(struct world *world)
{
    float out[256];
    size_t frames = draw(world, 256);
    passo_player_render(world->player, draw(world, 4) ? out : NULL, 0, 0);
    passo_player_render(world->player, out, frames, passo_player_rendered(world->player));
    for (size_t i = 0; i < frames; i++)
        assert_true(fabsf(out[i]) <= 1.0F);
    int64_t due = passo_player_next_due(world->player);
    assert_true(due >= passo_player_rendered(world->player));
}

static void test_random_commands(void **state)
{
    (void)state;
    for (uint32_t seed = 1; seed <= 60; seed++) {
        struct world world = {.seed = seed * 7919, .rate_hz = RATE_HZ};
        size_t slots = (size_t)2 << (seed % 4);
        world.player = plain_player(RATE_HZ, 1 + seed * 5, slots);
        for (int i = 0; i < 2000; i++) {
            command(&world);
            if (draw(&world, 3) == 0)
                render(&world);
            read_notices(&world);
            if (draw(&world, 20) == 0)
                passo_player_reclaim(world.player);
        }
        passo_player_destroy(world.player);
    }
}

static void test_null_is_fine(void **state)
{
    (void)state;
    passo_player_destroy(NULL);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_random_commands),
        cmocka_unit_test(test_null_is_fine),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
