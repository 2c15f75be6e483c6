/* The moments of a climb that the screen's tests show: snapshots filled by hand, as the conductor
 * fills them. The player is of the Marrowby town band. */
#ifndef PASSO_TESTS_VIEW_SCENES_H
#define PASSO_TESTS_VIEW_SCENES_H

#include <stdio.h>
#include <string.h>
#include "session/view.h"

static struct passo_ladder scene_ladder;

static void scene_text(char *out, size_t bytes, const char *text)
{
    snprintf(out, bytes, "%s", text);
}
#define SET(field, text) scene_text(s->field, sizeof s->field, text)

/* The ladder 60 to 108 by 4, and eleven passes: up to 84, one drop, and up again. */
static void scene_base(struct passo_snapshot *s)
{
    static const int32_t tempi[] = {60, 60, 64, 64, 68, 68, 72, 72, 72, 68, 68, 72};
    static const char marks[] = "ccccccmcvumm";
    memset(s, 0, sizeof *s);
    memset(&scene_ladder, 0, sizeof scene_ladder);
    scene_ladder.turns = 1;
    for (int32_t mbpm = 60000; mbpm <= 108000; mbpm += 4000)
        scene_ladder.rung_mbpm[scene_ladder.rungs++] = mbpm;
    s->ladder = &scene_ladder;
    SET(title, "Lantern March, run-up to the trio");
    SET(piece, "Marrowby Suite");
    s->beat = passo_ratio(1, 4);
    SET(beat_name, "quarter");
    SET(what, "bars 33-36 \u00b7 octave down");
    SET(move, "Held at 72: a miss, and nothing is lost.");
    SET(count, "1 of 2 clean in a row");
    s->part = PASSO_PART_CLIMB;
    s->mbpm = 72000;
    s->pass = 13;
    s->rung = 3;
    s->best_rung = 2;
    s->cleans = 1;
    s->cleans_needed = 2;
    for (size_t i = 0; i < sizeof marks - 1; i++) {
        const char *at = strchr("ucmv", marks[i]);
        s->curve[s->points++] = (struct passo_curve_point){
            .mbpm = tempi[i] * 1000, .mark = (uint8_t)(at - "ucmv"), .part = PASSO_PART_CLIMB};
    }
    s->played_ms = 131000;
    s->rested_ms = 124000;
    s->elapsed_ms = 271000;
    s->level_permille = 500;
    s->sounding = true;
}

static void scene_beat(struct passo_snapshot *s, int32_t bar, int beat, int of,
                       enum passo_click click)
{
    s->beat_serial++;
    s->bar = bar;
    s->beat_of_bar = (uint8_t)beat;
    s->beats_of_bar = (uint8_t)of;
    s->click = (uint8_t)click;
}

static void scene_count_in(struct passo_snapshot *s)
{
    s->phase = PASSO_PHASE_COUNT_IN;
    SET(next, "Breathe, then play bars 33-36 \u00b7 octave down.");
    scene_beat(s, 0, 3, 4, PASSO_CLICK_COUNT);
}

static void scene_playing(struct passo_snapshot *s)
{
    s->phase = PASSO_PHASE_PLAYING;
    SET(next, "Play bars 33-36 \u00b7 octave down. One more clean pass raises to 76.");
    scene_beat(s, 34, 1, 4, PASSO_CLICK_BAR);
}

static void scene_landing(struct passo_snapshot *s)
{
    scene_playing(s);
    s->phase = PASSO_PHASE_LANDING;
    s->mark = PASSO_MARK_CLEAN;
    scene_beat(s, 37, 1, 4, PASSO_CLICK_BAR);
}

static void scene_rest(struct passo_snapshot *s)
{
    s->phase = PASSO_PHASE_REST;
    SET(next, "How was it? Space clean, x miss. Then bars 33-36 \u00b7 octave down.");
    s->rest_left_ms = 12000;
}

static void scene_breathe(struct passo_snapshot *s)
{
    scene_rest(s);
    s->mark = PASSO_MARK_CLEAN;
    s->mbpm = 76000;
    s->rung = 4;
    s->best_rung = 3;
    s->cleans = 0;
    SET(count, "0 of 2 clean in a row");
    SET(move, "Raised to 76: 2 clean in a row.");
    SET(next, "Next: bars 33-36 \u00b7 octave down at quarter = 76.");
    s->rest_left_ms = 2400;
}

static void scene_open_rest(struct passo_snapshot *s)
{
    scene_rest(s);
    SET(next, "How was it? Space clean, x miss. The rest goes on until a key.");
    s->rest_left_ms = -1;
}

static void scene_paused(struct passo_snapshot *s)
{
    s->phase = PASSO_PHASE_PAUSED;
    SET(next, "Press p to go on: a breath, then the count-in.");
}

static void scene_lead(struct passo_snapshot *s)
{
    s->phase = PASSO_PHASE_LEAD;
    s->points = 0;
    s->pass = 1;
    s->rung = 0;
    s->mbpm = 60000;
    s->best_rung = -1;
    s->cleans = 0;
    s->played_ms = s->rested_ms = s->elapsed_ms = 0;
    SET(count, "0 of 2 clean in a row");
    SET(move, "");
    SET(next, "Breathe, then play bars 33-36 \u00b7 octave down.");
}

static void scene_won(struct passo_snapshot *s)
{
    s->phase = PASSO_PHASE_OVER;
    s->outcome = PASSO_OUTCOME_WON;
    for (int32_t mbpm = 72; mbpm <= 108; mbpm += 4)
        for (int i = 0; i < 2; i++)
            s->curve[s->points++] = (struct passo_curve_point){
                .mbpm = mbpm * 1000, .mark = PASSO_MARK_CLEAN, .part = PASSO_PART_CLIMB};
    s->curve[s->points++] = (struct passo_curve_point){
        .mbpm = 108000, .mark = PASSO_MARK_MISS, .part = PASSO_PART_CONTEXT};
    s->part = PASSO_PART_CONTEXT;
    s->mbpm = 108000;
    s->rung = 12;
    s->best_rung = 12;
    SET(count, "won");
    SET(what, "bars 29-40 in context");
    SET(move, "Won: 2 clean in a row at quarter = 108.");
    SET(next, "The target is won: quarter = 108 after 33 passes. Press q to leave.");
}

static void scene_over(struct passo_snapshot *s)
{
    s->phase = PASSO_PHASE_OVER;
    s->outcome = PASSO_OUTCOME_PLATEAU;
    SET(move, "Two drops from 72: that is today's ceiling.");
    SET(next, "Best clean 68 of 108, after 12 passes. Tomorrow begins at 60. Press q to leave.");
}

static void scene_notice(struct passo_snapshot *s)
{
    scene_playing(s);
    s->sounding = false;
    SET(notice, "The sound device went away. The climb goes on in silence and tries it again.");
}

static void scene_hostile(struct passo_snapshot *s)
{
    scene_playing(s);
    SET(title, "\u00c9tude %s %n in E\u266d \u2014 \u9577\u3044\u984c\u540d "
               "Wwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwww");
    SET(piece, "A piece with a name that no programme could ever print in one line");
    SET(beat_name, "quarter + dotted quarter");
    SET(what, "bars 1033-1036 \u00b7 an octave down, tongued, long-short, softly, and from the "
              "second half of the third beat");
    SET(next, "Playoneverylongwordthatcannotbebrokenanywhereatallbecauseithasnoblanksinitwhatever"
              " and then some more words that would need a third line if there were one to have "
              "but there is none on a small screen");
    SET(move, "Raised to 1000: a very long reason that goes on and on past the edge of the window "
              "and is cut there, as it must be");
    SET(notice, "Disk full: e\u0301le\u0300ve marks wait in memory. \u65e5\u672c\u8a9e "
                "and they are written as soon as there is room again on the disk.");
    scene_ladder.rungs = 0;
    for (int32_t mbpm = 150000; mbpm <= 999990; mbpm += 4250)
        scene_ladder.rung_mbpm[scene_ladder.rungs++] = mbpm;
    scene_ladder.rule.over_passes = 1;
    scene_ladder.rule.anchor_permille = 600;
    s->points = 0;
    for (int i = 0; i < PASSO_CURVE_POINTS; i++)
        s->curve[s->points++] = (struct passo_curve_point){.mbpm = 100000 + i * 2000,
                                                           .mark = (uint8_t)(i % 4),
                                                           .part = (uint8_t)(i % PASSO_PART_DONE)};
    s->rung = 100;
    s->best_rung = 90;
    s->mbpm = 212785;
    s->cleans_needed = 9;
    s->elapsed_ms = 36000000;
    scene_beat(s, 1034, 17, 64, PASSO_CLICK_BEAT);
}

/* A chain from the end: lengths by their number, all at the target. */
static void scene_lengths(struct passo_snapshot *s)
{
    static const uint8_t rungs[] = {0, 0, 1, 1, 2, 2, 1, 1, 2};
    static const char marks[] = "ccccmmccc";
    scene_rest(s);
    memset(&scene_ladder, 0, sizeof scene_ladder);
    scene_ladder.turns = 1;
    scene_ladder.rule.climbs = PASSO_CLIMBS_LENGTH;
    while (scene_ladder.rungs < 6)
        scene_ladder.rung_mbpm[scene_ladder.rungs++] = 120000;
    s->points = 0;
    for (size_t i = 0; i < sizeof rungs; i++)
        s->curve[s->points++] =
            (struct passo_curve_point){.mbpm = 120000,
                                       .rung = rungs[i],
                                       .mark = marks[i] == 'c' ? PASSO_MARK_CLEAN : PASSO_MARK_MISS,
                                       .part = PASSO_PART_CLIMB};
    s->mbpm = 120000;
    s->pass = 10;
    s->rung = 2;
    s->best_rung = 1;
    s->mark = PASSO_MARK_CLEAN;
    SET(what, "bars 12.1-13.3 \u00b7 last 6 beats");
    SET(move, "Clean. One more clean pass wins the last 6 beats.");
    SET(next, "Next: bars 12.1-13.3 \u00b7 last 6 beats at quarter = 120.");
}

/* The second of four stages: the passes of the first are not of this ladder. The prompt is long. */
static void scene_stages(struct passo_snapshot *s)
{
    scene_rest(s);
    scene_ladder.rungs = 0;
    for (int32_t mbpm = 108000; mbpm <= 132000; mbpm += 8000)
        scene_ladder.rung_mbpm[scene_ladder.rungs++] = mbpm;
    for (int i = 0; i < 4; i++)
        s->curve[s->points++] = (struct passo_curve_point){.mbpm = 108000 + i / 2 * 8000,
                                                           .rung = (uint16_t)(i / 2),
                                                           .stage = 1,
                                                           .mark = PASSO_MARK_CLEAN,
                                                           .part = PASSO_PART_CLIMB};
    s->stage = 1;
    s->stages = 4;
    SET(stage_name, "second half");
    s->mbpm = 124000;
    s->pass = 17;
    s->rung = 2;
    s->best_rung = 1;
    s->cleans = 0;
    SET(count, "0 of 2 clean in a row");
    SET(what, "bars 35.3-36.4 \u00b7 second half \u00b7 octave down, tongued");
    SET(move, "Raised to quarter = 124: 2 clean in a row.");
    SET(next,
        "How was it? Space clean, x miss. Then bars 35.3-36.4 \u00b7 second half \u00b7 octave "
        "down, tongued at quarter = 124.");
}

/* Tempi in drawn order: four of eight are put away, here and there. */
static void scene_mixed(struct passo_snapshot *s)
{
    static const uint8_t rungs[] = {7, 5, 4, 0, 5, 6};
    scene_rest(s);
    scene_ladder.rungs = 0;
    scene_ladder.rule.climbs = PASSO_CLIMBS_MIXED;
    for (int32_t mbpm = 72000; mbpm <= 120000; mbpm += 6850)
        scene_ladder.rung_mbpm[scene_ladder.rungs++] = mbpm;
    s->points = 0;
    for (size_t i = 0; i < sizeof rungs; i++)
        s->curve[s->points++] =
            (struct passo_curve_point){.mbpm = scene_ladder.rung_mbpm[rungs[i]],
                                       .rung = rungs[i],
                                       .mark = rungs[i] == 5 ? PASSO_MARK_MISS : PASSO_MARK_CLEAN,
                                       .part = PASSO_PART_CLIMB};
    s->put_away[0] = 1u << 7 | 1u << 4 | 1u << 0 | 1u << 6;
    s->mbpm = scene_ladder.rung_mbpm[5];
    s->pass = 7;
    s->rung = 5;
    s->best_rung = 7;
    s->cleans = s->cleans_needed = 0;
    s->mark = PASSO_MARK_CLEAN;
    SET(count, "4 of 8 tempi put away");
    SET(what, "bars 33-36");
    SET(move, "Clean, and put away; 4 tempi are left. Now quarter = 106.25.");
    SET(next, "Next: bars 33-36 at quarter = 106.25.");
}

/* 6/8 in two, a tempo with a fraction. */
static void scene_compound(struct passo_snapshot *s)
{
    scene_playing(s);
    SET(beat_name, "dotted quarter");
    s->beat = passo_ratio(3, 8);
    s->mbpm = 63700;
    scene_ladder.rungs = 0;
    for (int32_t mbpm = 52000; mbpm <= 76000; mbpm += 3900)
        scene_ladder.rung_mbpm[scene_ladder.rungs++] = mbpm;
    scene_ladder.rung_mbpm[scene_ladder.rungs++] = 76000;
    scene_ladder.rule.over_passes = 1;
    scene_ladder.rule.anchor_permille = 600;
    s->points = 0;
    static const int32_t tempi[] = {76000, 52000, 45600, 52000, 45600, 55900, 59800};
    static const uint8_t parts[] = {PASSO_PART_COLD,  PASSO_PART_CLIMB,  PASSO_PART_ANCHOR,
                                    PASSO_PART_CLIMB, PASSO_PART_ANCHOR, PASSO_PART_CLIMB,
                                    PASSO_PART_CLIMB};
    for (size_t i = 0; i < sizeof parts; i++)
        s->curve[s->points++] =
            (struct passo_curve_point){.mbpm = tempi[i],
                                       .mark = i == 0 ? PASSO_MARK_MISS : PASSO_MARK_CLEAN,
                                       .part = parts[i]};
    SET(move, "Raised to 63.7: 1 clean.");
    s->rung = 3;
    scene_beat(s, 12, 4, 6, PASSO_CLICK_GROUP);
}

/* 3/4 in one. */
static void scene_one(struct passo_snapshot *s)
{
    scene_playing(s);
    SET(beat_name, "dotted half");
    scene_beat(s, 34, 1, 1, PASSO_CLICK_BAR);
}

static void scene_steady(struct passo_snapshot *s)
{
    s->steady = true;
    s->ladder = NULL;
    s->phase = PASSO_PHASE_PLAYING;
    SET(title, "Pulse");
    SET(piece, "");
    SET(what, "");
    SET(move, "");
    SET(next, "4/4. Up faster, Down slower.");
    s->mbpm = 120000;
    scene_beat(s, 7, 2, 4, PASSO_CLICK_BEAT);
}

#include "scenes_day.h"
#include "scenes_notes.h"

static const struct scene {
    const char *name;
    void (*fill)(struct passo_snapshot *s);
} scenes[] = {
    {"lead", scene_lead},
    {"count-in", scene_count_in},
    {"playing", scene_playing},
    {"landing", scene_landing},
    {"rest", scene_rest},
    {"breathe", scene_breathe},
    {"open-rest", scene_open_rest},
    {"paused", scene_paused},
    {"won", scene_won},
    {"over", scene_over},
    {"notice", scene_notice},
    {"lengths", scene_lengths},
    {"stages", scene_stages},
    {"mixed", scene_mixed},
    {"listing", scene_listing},
    {"block", scene_block},
    {"visit", scene_visit},
    {"block-rest", scene_block_rest},
    {"between", scene_between},
    {"offer", scene_offer},
    {"free", scene_free},
    {"first", scene_first},
    {"listing-later", scene_listing_later},
    {"spot", scene_spot},
    {"day-over", scene_day_over},
    {"hostile", scene_hostile},
    {"day-hostile", scene_day_hostile},
    {"listing-hostile", scene_listing_hostile},
    {"notes", scene_notes_playing},
    {"hearing", scene_hearing},
    {"hearing-wide", scene_hearing_wide},
    {"hear", scene_hear},
    {"hear-your-turn", scene_hear_your_turn},
    {"hear-rest", scene_hear_rest},
    {"compound", scene_compound},
    {"one", scene_one},
    {"steady", scene_steady},
};
#define SCENES (sizeof scenes / sizeof scenes[0])

/* Fills s with the scene of that name. False if there is none. */
static bool scene_fill(const char *name, struct passo_snapshot *s)
{
    for (size_t i = 0; i < SCENES; i++) {
        if (strcmp(scenes[i].name, name) == 0) {
            scene_base(s);
            scenes[i].fill(s);
            return true;
        }
    }
    return false;
}

#endif
