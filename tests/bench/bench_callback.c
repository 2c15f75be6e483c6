/* What a callback costs: 64 frames at 48 kHz with 16 voices, two drones and a run of notes sounding
 * all the time, a click and a note starting in about every third block (each click steals a voice,
 * notes of 4 ms, tongued and slurred by turns, ring out over one another), as a share of the
 * block's 1.333 ms. The peer, in the same run and between the same clock readings, is a bare loop
 * that adds 16 buffers: the floor of any mixer. Both are timed in processor time of this thread, so
 * that other programs on the machine are not counted. Exit status: 0 goals met (design.md, section
 * 9), 1 one missed. */
#include "sound/player.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <time.h>

#define RATE_HZ   48000
#define FRAMES    64
#define VOICES    16
#define CALLS     200000
#define PERIOD_NS (1e9 * FRAMES / RATE_HZ)
#define NOTES     4096
#define EVENTS    (2 * NOTES + 2)

static double player_ns[CALLS];
static double floor_ns[CALLS];
static float out[FRAMES];
static float buffer[VOICES][RATE_HZ];

static double now_ns(void)
{
    struct timespec now;
    clock_gettime(CLOCK_THREAD_CPUTIME_ID, &now);
    return (double)now.tv_sec * 1e9 + (double)now.tv_nsec;
}

/* Clicks of four seconds, so that sixteen of them overlap. */
static struct passo_player *long_player(void)
{
    struct passo_kit kit = {.rate_hz = RATE_HZ};
    for (int c = 0; c < PASSO_CLICK_COUNT_OF; c++) {
        kit.click[c].frames = 4 * RATE_HZ;
        kit.click[c].frame = passo_xcalloc(4 * RATE_HZ, sizeof(float));
        for (size_t i = 0; i < kit.click[c].frames; i++)
            kit.click[c].frame[i] = (float)(i % 97) / 970.0F;
    }
    return passo_player_create(&kit, 1024);
}

/* Two drones, then a note with each click, tongued and slurred by turns. */
static struct passo_tone tone[NOTES + 2];

static void tune(void)
{
    tone[0] = (struct passo_tone){.hz = 58.27F, .level = PASSO_TONE_LEVEL};
    tone[1] =
        (struct passo_tone){.hz = 87.31F, .level = PASSO_TONE_LEVEL, .layer = PASSO_LAYER_FIFTH};
    for (size_t i = 2; i < NOTES + 2; i++)
        tone[i] = (struct passo_tone){
            .hz = 100.0F + (float)(i % 97),
            .level = PASSO_NOTE_LEVEL,
            .layer = PASSO_LAYER_NOTE,
            .onset = (uint8_t)(i % 2 ? PASSO_ONSET_SLURRED : PASSO_ONSET_TONGUED),
        };
}

static struct passo_timeline *clicks(int64_t start)
{
    struct passo_timeline *made = passo_xcalloc(1, sizeof *made + EVENTS * sizeof made->event[0]);
    made->rate_hz = RATE_HZ;
    made->start.frame = start;
    made->events = EVENTS;
    for (size_t i = 2; i < EVENTS; i++) {
        const bool note = i % 2 == 0;
        made->event[i] = (struct passo_event){
            .frame = 199 * (int64_t)(i / 2 - 1),
            .bar = (int32_t)(note ? i / 2 + 1 : 0),
            .kind = (uint8_t)(note ? PASSO_EVENT_TONE_ON : PASSO_EVENT_CLICK),
            .of = note ? 0 : 4,
        };
    }
    made->event[0].kind = PASSO_EVENT_TONE_ON;
    made->event[1] = (struct passo_event){.bar = 1, .kind = PASSO_EVENT_TONE_ON};
    made->tones = NOTES + 2;
    made->tone = tone;
    made->event[EVENTS - 1].kind = PASSO_EVENT_END;
    return made;
}

/* Keeps a pass waiting and reads along, as the conductor does. */
static void conduct(struct passo_player *player)
{
    struct passo_notice notice;
    while (passo_player_notice(player, &notice))
        continue;
    struct passo_timeline *next = clicks(0);
    if (passo_player_play(player, next) != PASSO_OK)
        free(next);
    passo_player_reclaim(player);
}

static void time_player(void)
{
    struct passo_player *player = long_player();
    for (int i = -1000; i < CALLS; i++) {
        if (i % 400 == 0)
            conduct(player);
        double begun_ns = now_ns();
        passo_player_render(player, out, FRAMES, 0);
        if (i >= 0)
            player_ns[i] = now_ns() - begun_ns;
    }
    passo_player_destroy(player);
}

static void time_floor(void)
{
    for (int i = -1000; i < CALLS; i++) {
        size_t at = (size_t)(i + 1000) * FRAMES % (RATE_HZ - FRAMES);
        double begun_ns = now_ns();
        memset(out, 0, sizeof out);
        for (size_t v = 0; v < VOICES; v++) {
            for (size_t k = 0; k < FRAMES; k++)
                out[k] += buffer[v][at + k];
        }
        __asm__ volatile("" : : "r"(out) : "memory"); /* the sum is wanted */
        if (i >= 0)
            floor_ns[i] = now_ns() - begun_ns;
    }
}

static int by_size(const void *a, const void *b)
{
    double left = *(const double *)a;
    double right = *(const double *)b;
    return (left > right) - (left < right);
}

/* One row; true if the goal is met. */
static int row(const char *what, size_t rank, double goal_percent)
{
    double percent = 100.0 * player_ns[rank] / PERIOD_NS;
    int met = percent < goal_percent;
    printf("| callback, 64 frames, 16 voices, two drones and notes, %s | under %.0f %% of the "
           "period | %.3f %% | %s | adding 16 buffers: %.3f %% | %.2f |\n",
           what, goal_percent, percent, met ? "met" : "MISSED", 100.0 * floor_ns[rank] / PERIOD_NS,
           player_ns[rank] / floor_ns[rank]);
    return met;
}

int main(void)
{
    tune();
    time_player();
    time_floor();
    qsort(player_ns, CALLS, sizeof *player_ns, by_size);
    qsort(floor_ns, CALLS, sizeof *floor_ns, by_size);
    puts("| what | goal | measured | | peer | ratio |");
    puts("| --- | --- | --- | --- | --- | --- |");
    int met = row("median", CALLS / 2, 1.0);
    met &= row("99.99 %", CALLS - CALLS / 10000, 5.0);
    return met ? 0 : 1;
}
