/* A session CSV of invented practice for the benches: thirty students of the Marrowby town band,
 * four passages each, two years, in sessions of twenty passes, student by student and by time.
 *   bench_make_passes PASSES >FILE */
#include <inttypes.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <time.h>

enum { STUDENTS = 30, PASSAGES = 4, DAYS = 730, PASSES = 20, TARGET = 104 };

/* A session's first pass: 1 January 2025, 16:00 UTC, and so many days and hours later. */
static int64_t begin_of(uint64_t session, uint64_t sessions, int passage)
{
    int64_t day = (int64_t)(session * DAYS / sessions);
    uint64_t first = (uint64_t)(day * (int64_t)sessions + DAYS - 1) / DAYS;
    return 1735747200 + day * 86400 + (int64_t)(session - first) * 3600 % 28800 + passage * 900;
}

static uint32_t draw(uint32_t *state)
{
    *state = *state * 1664525u + 1013904223u; /* Numerical Recipes' generator; good enough here */
    return *state >> 16;
}

/* One pass; returns whether it was clean. */
static void write_pass(int student, int passage, int64_t begin, int pass, uint32_t *state)
{
    static const char *const title[PASSAGES] = {"The run up to the trio", "March, letter C",
                                                "Slow air, the leap", "Finale, last page"};
    char when[32];
    char session[32];
    time_t seconds = (time_t)(begin + pass * 25);
    time_t began = (time_t)begin;
    struct tm there;
    strftime(when, sizeof when, "%Y-%m-%dT%H:%M:%S+00:00", gmtime_r(&seconds, &there));
    strftime(session, sizeof session, "%Y%m%dT%H%M%S", gmtime_r(&began, &there));
    int tempo = 60 + 4 * (int)(draw(state) % 12);
    int clean = draw(state) % 4 > 0;
    printf("%s,%c.%c.,%s,\"%s\",The Marrowby March,%d,climb,whole,%d-%d,%s,quarter,%d,%d,%s,key,%s,"
           "%d,%s,%d,%d.%03d,%d.%03d,%d.%03d\r\n",
           when, 'A' + student / 6, 'A' + student % 6, session, title[passage], pass,
           8 * passage + 1, 8 * passage + 8, draw(state) % 4 ? "as written" : "octave down", tempo,
           TARGET, clean ? "clean" : "miss", clean ? "" : "3", clean ? (int)(draw(state) % 2) : 0,
           clean ? "raised" : "held", tempo + 4, 8 + (int)(draw(state) % 4),
           (int)(draw(state) % 1000), 8, (int)(draw(state) % 1000), 25 * pass,
           (int)(draw(state) % 1000));
}

int main(int argc, char **argv)
{
    uint64_t passes = argc > 1 ? strtoull(argv[1], NULL, 10) : 200000;
    uint64_t sessions = passes / ((uint64_t)STUDENTS * PASSAGES * PASSES);
    uint64_t left = passes;
    uint32_t state = 1;
    if (!sessions)
        sessions = 1;
    puts(
        "time,player,session,passage,piece,pass,part,loop,bars,variant,beat_unit,tempo,target,mark,"
        "marked_by,miss_bar,clean_in_a_row,move,next_tempo,play_s,rest_s,elapsed_s\r");
    /* The last student practises on until all are made. */
    for (int student = 0; student < STUDENTS; student++)
        for (uint64_t session = 0; session < sessions || student == STUDENTS - 1; session++)
            for (int passage = 0; passage < PASSAGES; passage++)
                for (int pass = 1; pass <= PASSES; pass++) {
                    if (!left--)
                        return 0;
                    write_pass(student, passage, begin_of(session, sessions, passage), pass,
                               &state);
                }
    return 0;
}
