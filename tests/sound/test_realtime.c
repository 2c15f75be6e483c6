/* Nothing on the audio thread allocates, locks, or calls into the system: every render of a long
 * practice is made inside the trap (trap.h), with raises, drops, tones, notes, all cues, stops,
 * withdrawals, level changes, samples for clicks, lost frames and full rings. Calls planted in
 * forked children prove that the trap works. */
#include "help.h"

#include "trap.h"

#include <stdio.h>
#include <sys/wait.h>

#define RATE_HZ 48000

static float block[64];
static float tones[64];
static int64_t heard_ns;

static void render(struct passo_player *player, int blocks)
{
    for (int i = 0; i < blocks; i++) {
        trap_begin();
        if (i % 50 == 49)
            passo_player_late(player);
        if (i % 7 == 3)
            passo_player_render_apart(player, block, tones, 64, heard_ns);
        else
            passo_player_render(player, i % 9 ? block : NULL, 64, heard_ns);
        (void)passo_player_next_due(player);
        trap_end();
        heard_ns += 1333333;
    }
}

/* A pass of notes of every onset, each in the place of the one before, over two drones. */
static struct passo_timeline *sung(int64_t start)
{
    enum { NOTES = 200, TONES = NOTES + 2 };
    static struct passo_tone tone[TONES];
    struct passo_event event[2 * TONES];
    size_t events = 0;
    for (int i = 0; i < TONES; i++) {
        const bool drone = i < 2;
        tone[i] = (struct passo_tone){
            .hz = 58.27F + 4 * (float)i,
            .level = PASSO_TONE_LEVEL,
            .layer = (uint8_t)(drone ? i : PASSO_LAYER_NOTE),
            .onset = (uint8_t)(drone ? PASSO_ONSET_SOFT : i % PASSO_ONSET_COUNT),
        };
        const int64_t at = drone ? 0 : INT64_C(300) * i;
        event[events++] = (struct passo_event){.frame = at, .bar = i, .kind = PASSO_EVENT_TONE_ON};
        if (!drone && i % 3 == 2)
            event[events++] =
                (struct passo_event){.frame = at + 200, .bar = i, .kind = PASSO_EVENT_TONE_OFF};
    }
    event[events++] = (struct passo_event){.frame = 300 * TONES, .kind = PASSO_EVENT_END};
    struct passo_timeline *made = timeline(0, RATE_HZ, start, event, events);
    made->tones = TONES;
    made->tone = tone;
    return made;
}

/* One pass at a tempo, its cue before it, now and then something that goes wrong. */
static void practise(struct passo_player *player, int pass)
{
    static const int64_t period[] = {24000, 20000, 16000, 18000, 9000, 1200};
    int64_t now = passo_player_rendered(player);
    enum passo_cue cue = (enum passo_cue)(pass % PASSO_CUE_COUNT);
    assert_int_equal(passo_player_cue(player, cue, now + 100), PASSO_OK);
    struct passo_timeline *next =
        steady((uint64_t)pass, RATE_HZ, now + 4000, period[pass % 6], 4 + pass % 13);
    if (pass % 5) /* over a tone, of the pitch before or another */
        next = toned(next, pass % 5 < 3 ? 58.27F : 87.31F + (float)pass, PASSO_TONE_LEVEL);
    if (pass % 6 == 5) {
        free(next);
        next = sung(now + 4000);
    }
    assert_int_equal(passo_player_play(player, next), PASSO_OK);
    render(player, 100);
    assert_int_equal(passo_player_level(player, (float)(pass % 5) / 4.0F), PASSO_OK);
    render(player, 1000);
    if (pass % 4 == 1)
        assert_int_equal(passo_player_stop(player, now + 90000), PASSO_OK);
    if (pass % 4 == 2)
        assert_int_equal(passo_player_withdraw(player), PASSO_OK);
    if (pass % 4 == 3)
        assert_int_equal(passo_player_hush(player), PASSO_OK);
    render(player, 5000);
}

static void read_all(struct passo_player *player, int *began, int *over)
{
    struct passo_notice notice;
    while (passo_player_notice(player, &notice)) {
        *began += notice.kind == PASSO_NOTICE_BEGAN;
        *over += notice.kind == PASSO_NOTICE_ENDED || notice.kind == PASSO_NOTICE_STOPPED;
    }
}

static void run(struct passo_kit *kit, size_t slots)
{
    struct passo_player *player = passo_player_create(kit, slots);
    int began = 0;
    int over = 0;
    for (int pass = 0; pass < 30; pass++) {
        practise(player, pass);
        if (pass % 3 == 2) /* in between the rings fill */
            read_all(player, &began, &over);
    }
    for (int i = 0; i < 40; i++) {
        render(player, 10);
        read_all(player, &began, &over);
    }
    assert_int_equal(began, 30);
    assert_int_equal(over, 30);
    passo_player_destroy(player);
}

static void test_nothing_forbidden_while_rendering(void **state)
{
    (void)state;
    if (!TRAP_SET)
        print_message("sanitizers take the trapped calls: rendering without the trap\n");
    struct passo_kit kit;
    passo_kit_init(&kit, PASSO_TIMBRE_WOOD, RATE_HZ);
    run(&kit, 1024);
    kit = plain_kit(RATE_HZ, 2 * RATE_HZ); /* long samples: the pool is full, voices are stolen */
    run(&kit, 8);
}

#if TRAP_SET

static void *volatile kept;
static pthread_mutex_t mutex = PTHREAD_MUTEX_INITIALIZER;

static void plant_malloc(void)
{
    kept = malloc(16);
}

static void plant_free(void)
{
    free(kept);
}

static void plant_mutex(void)
{
    pthread_mutex_lock(&mutex);
}

static void plant_open(void)
{
    kept = fopen("/dev/null", "r");
}

static void plant_write(void)
{
    if (write(1, "", 0) != 0)
        abort();
}

static void plant_sleep(void)
{
    nanosleep(&(struct timespec){0}, NULL);
}

static void plant_clock(void)
{
    struct timespec now;
    clock_gettime(CLOCK_MONOTONIC, &now);
}

static void plant_nothing(void)
{
}

/* Exit status of a child that makes the call inside the trap. */
static int status_of(void (*plant)(void))
{
    fflush(NULL);
    pid_t child = fork();
    if (child == 0) {
        fclose(stderr); /* its last word is expected */
        trap_begin();
        plant();
        trap_end();
        _exit(0);
    }
    int status = 0;
    assert_int_equal(waitpid(child, &status, 0), child);
    assert_true(WIFEXITED(status));
    return WEXITSTATUS(status);
}

static void test_planted_calls_are_caught(void **state)
{
    (void)state;
    kept = malloc(1);
    assert_int_equal(status_of(plant_malloc), TRAP_STATUS);
    assert_int_equal(status_of(plant_free), TRAP_STATUS);
    assert_int_equal(status_of(plant_mutex), TRAP_STATUS);
    assert_int_equal(status_of(plant_open), TRAP_STATUS);
    assert_int_equal(status_of(plant_write), TRAP_STATUS);
    assert_int_equal(status_of(plant_sleep), TRAP_STATUS);
    assert_int_equal(status_of(plant_clock), TRAP_STATUS);
    assert_int_equal(status_of(plant_nothing), 0);
    free(kept);
}

#endif

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(test_nothing_forbidden_while_rendering),
#if TRAP_SET
        cmocka_unit_test(test_planted_calls_are_caught),
#endif
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
