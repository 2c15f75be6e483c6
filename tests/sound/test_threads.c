/* Two threads on one player, for ThreadSanitizer and the payload: one renders, the other hands over
 * passes, cues, levels, stops and withdrawals, reads notices and asks the clock. Whatever the
 * scheduling: each pass that began ends or is stopped, once, in order, on plausible frames. And the
 * clock map never shows a mixed stamp. */
#include "help.h"

#include "sound/clock_map.h"

#include <pthread.h>
#include <sched.h>

#define RATE_HZ  8000
#define FRAME_NS 125000

struct rig {
    struct passo_player *player;
    atomic_bool wanted;
};

static void *audio(void *argument)
{
    struct rig *rig = argument;
    float out[96];
    unsigned seed = 1;
    int64_t now = 0;
    while (atomic_load(&rig->wanted)) {
        seed = seed * 1664525U + 1013904223U;
        size_t frames = 1 + (seed >> 16) % 96;
        if (seed % 97 == 0)
            passo_player_late(rig->player);
        passo_player_render(rig->player, seed % 5 ? out : NULL, frames, now * FRAME_NS);
        (void)passo_player_next_due(rig->player);
        now += (int64_t)frames;
        if (seed % 7 == 0)
            sched_yield();
    }
    return NULL;
}

struct follow {
    uint64_t began; /* id of the last pass that began */
    uint64_t over;  /* and of the last that ended */
    int64_t frame;
};

/* Ids grow; each is over before the next begins; time does not run backwards. */
static void follow_notices(struct passo_player *player, struct follow *follow)
{
    struct passo_notice notice;
    while (passo_player_notice(player, &notice)) {
        assert_int_equal(notice.heard_ns, notice.frame * FRAME_NS);
        assert_true(notice.frame >= follow->frame);
        follow->frame = notice.frame;
        if (notice.kind == PASSO_NOTICE_BEGAN) {
            assert_int_equal(follow->began, follow->over);
            assert_true(notice.id > follow->began);
            follow->began = notice.id;
        } else if (notice.kind == PASSO_NOTICE_ENDED || notice.kind == PASSO_NOTICE_STOPPED) {
            assert_int_equal(notice.id, follow->began);
            follow->over = notice.id;
        } else if (notice.kind != PASSO_NOTICE_LATE) {
            assert_int_equal(notice.id, follow->began);
        }
    }
}

static void command(struct passo_player *player, unsigned draw, uint64_t *id)
{
    int64_t now = passo_player_rendered(player);
    enum passo_error error = PASSO_OK;
    if (draw % 8 < 4) {
        int64_t start = now - 50 + (int64_t)(draw >> 8) % 400;
        struct passo_timeline *pass = steady(*id, RATE_HZ, start, 20, 1 + (int)(draw >> 20) % 12);
        if (passo_player_play(player, pass) == PASSO_OK)
            ++*id;
        else
            free(pass);
    } else if (draw % 8 == 4) {
        error = passo_player_withdraw(player);
    } else if (draw % 8 == 5) {
        error = passo_player_stop(player, now + (int64_t)(draw >> 8) % 300);
    } else if (draw % 8 == 6) {
        error = passo_player_cue(player, (enum passo_cue)(draw % PASSO_CUE_COUNT), now + 10);
    } else {
        error = passo_player_level(player, (float)(draw >> 20) / 4096.0F);
    }
    assert_true(error == PASSO_OK || error == PASSO_ERR_FULL);
}

/* Until so many passes are over; the other thread may get the processor late. */
static void run(size_t slots, uint64_t passes)
{
    struct rig rig = {.player = plain_player(RATE_HZ, 60, slots)};
    struct follow follow = {0};
    pthread_t thread;
    uint64_t id = 1;
    unsigned seed = (unsigned)slots;
    atomic_init(&rig.wanted, true);
    assert_int_equal(pthread_create(&thread, NULL, audio, &rig), 0);
    for (int i = 0; follow.over < passes; i++) {
        seed = seed * 1664525U + 1013904223U;
        command(rig.player, seed >> 3, &id);
        follow_notices(rig.player, &follow);
        int64_t frame = passo_player_heard_frame(rig.player, INT64_C(3600000000000));
        assert_true(frame == -1 || frame == INT64_C(3600) * RATE_HZ);
        if (i % 3 == 0)
            sched_yield(); /* mostly the other side's turn: it has to keep up */
    }
    atomic_store(&rig.wanted, false);
    pthread_join(thread, NULL);
    /* Let all that was handed over come to its end, reading along. */
    for (int i = 0; i < 200; i++) {
        int64_t now = passo_player_rendered(rig.player);
        passo_player_render(rig.player, NULL, 50, now * FRAME_NS);
        follow_notices(rig.player, &follow);
    }
    assert_int_equal(follow.began, follow.over);
    passo_player_destroy(rig.player);
}

static void test_player_between_two_threads(void **state)
{
    (void)state;
    run(2, 500);
    run(4, 500);
    run(1024, 500);
}

struct map_rig {
    struct passo_clock_map map;
    atomic_bool wanted;
};

static void *stamp_on(void *argument)
{
    struct map_rig *rig = argument;
    for (int64_t frame = 1; atomic_load_explicit(&rig->wanted, memory_order_relaxed); frame++)
        passo_clock_map_write(&rig->map, (struct passo_stamp){frame, frame * 3});
    return NULL;
}

static void test_clock_map_is_never_mixed(void **state)
{
    (void)state;
    static struct map_rig rig;
    struct passo_stamp stamp;
    pthread_t thread;
    int64_t before = 0;
    passo_clock_map_clear(&rig.map);
    assert_false(passo_clock_map_read(&rig.map, &stamp));
    atomic_init(&rig.wanted, true);
    assert_int_equal(pthread_create(&thread, NULL, stamp_on, &rig), 0);
    for (int seen = 0; seen < 200000; seen++) {
        while (!passo_clock_map_read(&rig.map, &stamp))
            sched_yield();
        assert_int_equal(stamp.heard_ns, stamp.frame * 3);
        assert_true(stamp.frame >= before);
        before = stamp.frame;
        if (seen % 1000 == 0)
            sched_yield();
    }
    atomic_store(&rig.wanted, false);
    pthread_join(thread, NULL);
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_player_between_two_threads),
        cmocka_unit_test(test_clock_map_is_never_mixed),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
