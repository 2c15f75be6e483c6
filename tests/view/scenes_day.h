/* The moments of a day that the screen's tests show: a routine of the Marrowby town band's tuba
 * with passages set in, and a check before a concert. Filled by hand, as the conductor fills them.
 */
#ifndef PASSO_TESTS_VIEW_SCENES_DAY_H
#define PASSO_TESTS_VIEW_SCENES_DAY_H

static const struct passo_day_line scene_routine[] = {
    {"long tones", "", 300000, false, PASSO_DAY_TO_COME},
    {"flow study · D-flat major", "", 50000, false, PASSO_DAY_TO_COME},
    {"visit: Lantern March, run-up to the trio", "after D-flat major, its own key", 150000, true,
     PASSO_DAY_TO_COME},
    {"flow study · G-flat major", "", 50000, false, PASSO_DAY_TO_COME},
    {"flow study · B major", "", 50000, false, PASSO_DAY_TO_COME},
    {"visit: Weir Song", "after B major, which is its C-flat major", 180000, true,
     PASSO_DAY_TO_COME},
    {"flow study · E major", "", 50000, false, PASSO_DAY_TO_COME},
    {"visit: Harbour Variations, fourth", "after E major, its relative key", 180000, true,
     PASSO_DAY_TO_COME},
    {"flow study · A major", "", 50000, false, PASSO_DAY_TO_COME},
    {"flow study · D major", "", 50000, false, PASSO_DAY_TO_COME},
    {"visit: Lantern March, coda", "after D major, its own key", 120000, true, PASSO_DAY_TO_COME},
    {"flow study · A-flat major", "", 50000, false, PASSO_DAY_TO_COME},
    {"chromatic pattern", "", 240000, false, PASSO_DAY_TO_COME},
    {"visit: Mill Race", "after the chromatic pattern, whose tag it shares", 180000, true,
     PASSO_DAY_TO_COME},
    {"scales · D-flat major", "", 60000, false, PASSO_DAY_TO_COME},
    {"scales · B-flat minor", "", 60000, false, PASSO_DAY_TO_COME},
    {"visit: Lantern March, run-up to the trio", "once more, away from the first", 150000, true,
     PASSO_DAY_TO_COME},
    {"tonguing", "", 240000, false, PASSO_DAY_TO_COME},
    {"easy close", "", 180000, false, PASSO_DAY_TO_COME},
};
static const struct passo_day_line scene_spots[] = {
    {"Lantern March, run-up to the trio", "", 48000, false, PASSO_DAY_TO_COME},
    {"Weir Song, bars 9-16", "", 61000, false, PASSO_DAY_TO_COME},
    {"Harbour Variations, fourth", "", 73000, false, PASSO_DAY_TO_COME},
    {"Mill Race, last page", "", 55000, false, PASSO_DAY_TO_COME},
    {"Evening Hymn, opening", "", 40000, false, PASSO_DAY_TO_COME},
};
#define SCENE_LINES (sizeof scene_routine / sizeof scene_routine[0])
#define SCENE_SPOTS (sizeof scene_spots / sizeof scene_spots[0])

static struct passo_day_line scene_lines[SCENE_LINES];
static struct passo_day_show scene_day;

/* The routine as it stands when line `now` is played; of the lines before it the fourth was left
 * out. */
static void scene_on_day(struct passo_snapshot *s, size_t now)
{
    memcpy(scene_lines, scene_routine, sizeof scene_lines);
    scene_day = (struct passo_day_show){.line = scene_lines, .lines = SCENE_LINES, .now = now};
    scene_text(scene_day.title, sizeof scene_day.title, "Marrowby, three quarters of an hour");
    for (size_t i = 0; i < SCENE_LINES; i++) {
        scene_lines[i].state = i < now ? PASSO_DAY_DONE : PASSO_DAY_TO_COME;
        scene_day.whole_ms += scene_lines[i].ms;
        scene_day.done_ms += i < now && i != 3 ? scene_lines[i].ms : 0;
    }
    if (now > 3)
        scene_lines[3].state = PASSO_DAY_SKIPPED;
    if (now < SCENE_LINES)
        scene_lines[now].state = PASSO_DAY_NOW;
    s->day = &scene_day;
    SET(move, "");
}

static void scene_nothing_played(struct passo_snapshot *s)
{
    s->ladder = NULL;
    s->mbpm = 0;
    s->points = 0;
    s->pass = 0;
    s->mark = PASSO_MARK_NONE;
    SET(title, "");
    SET(piece, "");
    SET(what, "");
    SET(count, "");
    SET(beat_name, "");
}

static void scene_listing(struct passo_snapshot *s)
{
    scene_on_day(s, 0);
    scene_nothing_played(s);
    scene_lines[0].state = PASSO_DAY_TO_COME;
    scene_day.listing = true;
    s->phase = PASSO_PHASE_REST;
    s->rest_left_ms = -1;
    SET(next, "Space begins, q leaves.");
}

/* Later the same day. */
static void scene_listing_later(struct passo_snapshot *s)
{
    scene_on_day(s, 8);
    scene_nothing_played(s);
    scene_day.listing = true;
    s->phase = PASSO_PHASE_REST;
    s->rest_left_ms = -1;
    SET(next, "Space goes on where you stopped, q leaves.");
}

static void scene_block_base(struct passo_snapshot *s, size_t now)
{
    scene_on_day(s, now);
    scene_day.block = true;
    scene_ladder.rungs = 1;
    scene_ladder.rung_mbpm[0] = 84000;
    SET(title, "flow study");
    SET(piece, "");
    SET(what, "bars 1-8");
    SET(count, "");
    s->mbpm = 84000;
    s->points = 0;
    s->rung = 0;
    s->best_rung = -1;
    s->cleans = s->cleans_needed = 0;
    s->pass = 2;
}

static void scene_block(struct passo_snapshot *s)
{
    scene_block_base(s, 6);
    s->phase = PASSO_PHASE_PLAYING;
    SET(next, "Play flow study · E major, slurred, as soft as it speaks.");
    scene_beat(s, 5, 2, 4, PASSO_CLICK_BEAT);
}

static void scene_block_rest(struct passo_snapshot *s)
{
    scene_block_base(s, 6);
    s->phase = PASSO_PHASE_REST;
    s->rest_left_ms = 14000;
    s->mark = PASSO_MARK_CLEAN; /* of something earlier: of a block no mark is shown */
    SET(next, "Then visit: Harbour Variations, fourth; bars 40-43.");
}

/* A block with no pulse: the next key is played as long as it takes. */
static void scene_free(struct passo_snapshot *s)
{
    scene_block_base(s, 17);
    s->phase = PASSO_PHASE_PLAYING;
    s->mbpm = 0;
    SET(beat_name, "");
    SET(next, "Play tonguing: light, from the front of the beat. n when it is done.");
}

static void scene_visit(struct passo_snapshot *s)
{
    scene_playing(s);
    scene_on_day(s, 2);
    s->pass = 3;
    s->points = 2;
}

/* The third spot of a check: one pass at the target, and once more lower after a miss. */
static void scene_spot(struct passo_snapshot *s)
{
    scene_rest(s);
    memcpy(scene_lines, scene_spots, sizeof scene_spots);
    scene_day = (struct passo_day_show){.line = scene_lines, .lines = SCENE_SPOTS, .now = 2};
    scene_text(scene_day.title, sizeof scene_day.title, "Before the Marrowby concert");
    for (size_t i = 0; i < SCENE_SPOTS; i++)
        scene_day.whole_ms += scene_lines[i].ms;
    scene_lines[0].state = scene_lines[1].state = PASSO_DAY_DONE;
    scene_lines[2].state = PASSO_DAY_NOW;
    scene_day.done_ms = scene_lines[0].ms + scene_lines[1].ms;
    s->day = &scene_day;
    scene_ladder.rule.climbs = PASSO_CLIMBS_CHECK;
    scene_ladder.rungs = 2;
    scene_ladder.rung_mbpm[0] = 76800;
    scene_ladder.rung_mbpm[1] = 96000;
    s->points = 1;
    s->curve[0] = (struct passo_curve_point){
        .mbpm = 96000, .rung = 1, .mark = PASSO_MARK_MISS, .part = PASSO_PART_CLIMB};
    s->mbpm = 76800;
    s->pass = 2;
    s->rung = 0;
    s->best_rung = -1;
    s->cleans = s->cleans_needed = 0;
    s->mark = PASSO_MARK_MISS;
    SET(title, "Harbour Variations, fourth");
    SET(piece, "Harbour Variations");
    SET(what, "bars 40-47");
    SET(count, "");
    SET(move, "Missed: once more at quarter = 76.8, then on.");
    SET(next, "Next: bars 40-47 at quarter = 76.8.");
}

static void scene_between(struct passo_snapshot *s)
{
    scene_on_day(s, 7);
    scene_nothing_played(s);
    s->phase = PASSO_PHASE_REST;
    s->rest_left_ms = 12000;
    SET(next, "Visit: Harbour Variations, fourth; bars 40-43. After E major, its relative key.");
}

/* A long rest is offered, before a block; the tempo is known. */
static void scene_offer(struct passo_snapshot *s)
{
    scene_on_day(s, 12);
    scene_nothing_played(s);
    scene_day.block = true;
    s->mbpm = 72000;
    SET(beat_name, "quarter");
    s->phase = PASSO_PHASE_REST;
    s->rest_left_ms = 286000;
    SET(move, "Fifteen minutes of playing since the last long rest: five minutes off are offered.");
    SET(next, "Space goes on now, l is longer. Then chromatic pattern.");
}

/* The rest goes on until a key; the first item is yet to come, and has a key. */
static void scene_first(struct passo_snapshot *s)
{
    scene_on_day(s, 1);
    scene_nothing_played(s);
    s->phase = PASSO_PHASE_REST;
    s->rest_left_ms = -1;
    SET(next, "Flow study · D-flat major: slurred, as soft as it speaks. Space goes on.");
}

static void scene_day_over(struct passo_snapshot *s)
{
    scene_on_day(s, SCENE_LINES);
    scene_nothing_played(s);
    scene_day.now = SCENE_LINES - 1;
    s->phase = PASSO_PHASE_OVER;
    SET(next, "The day is done: played 22 min, rested 21 min; 12 blocks, 6 visits, one left out.");
}

static void scene_day_hostile(struct passo_snapshot *s)
{
    scene_block(s);
    for (size_t i = 0; i < SCENE_LINES; i++) {
        scene_text(scene_lines[i].what, sizeof scene_lines[i].what,
                   i % 2
                       ? "visit: \u9577\u3044\u984c\u540d %s %n and a name that no programme could "
                         "ever print in one line"
                       : "Playoneverylongwordthatcannotbebroken · "
                         "inakeythatcannotbebrokeneitherwhateveritis");
        scene_text(
            scene_lines[i].why, sizeof scene_lines[i].why,
            "because the e\u0301le\u0300ve asked for it, and for many more reasons than there "
            "is room for");
        scene_lines[i].visit = i % 2;
        scene_lines[i].ms = 360000000;
    }
    scene_text(scene_day.title, sizeof scene_day.title,
               "Wwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwwww day %s");
    scene_day.whole_ms = INT64_MAX / 2;
}

static void scene_listing_hostile(struct passo_snapshot *s)
{
    scene_day_hostile(s);
    scene_day.listing = true;
}

#endif
