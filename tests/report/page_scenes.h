/* Scenes of many shapes for the pages, by name. The titles of "random7" are random bytes, those of
 * "random0" harmless. */
#ifndef PASSO_TESTS_REPORT_PAGE_SCENES_H
#define PASSO_TESTS_REPORT_PAGE_SCENES_H

#include "page_tools.h"

#define SCENE_LONG                                                                                 \
    "Marktplatzeinweihungsfeierlichkeitsmarsch der vereinigten Dorfblaskapellen von Obermarrow"    \
    " und Niedermarrow am Bach, zweite Stimme in B"
#define SCENE_HOSTILE                                                                              \
    "\"</title></svg></style><script>alert('1')</script><b onload=x>&amp;&#60;\x01\x1b[31m"        \
    "\xE2\x80\xAE desrever\xC3\x28\xF0\x9F"

static const struct plan scene_climb = {
    "A. M.", "The run before letter D", "Marrowby March", "33-36", 132, 84, 132, 12, 18, 8, 1, 0,
    true};
static const struct plan scene_others[] = {
    {"A. M.", "Trio, the low entry", "Marrowby March", "61-68", 96, 60, 88, 9, 14, 7, 2, 4, false},
    {"A. M.", "Chromatic climb", "Harvest Overture", "12-15", 144, 80, 128, 14, 16, 8, 1, 0, true},
    {"A. M.", "Last page", "Harvest Overture", "101-124", 112, 72, 116, 6, 22, 9, 3, 0, false},
    {"A. M.", "Slurs over the break", "Studies for the band room", "1-8", 0, 66, 90, 5, 10, 6, 2, 0,
     false},
    {"A. M.", "Fanfare", "Town Hall Fanfare", "1-6", 120, 96, 120, 10, 12, 10, 1, 5, false},
    {"A. M.", "Dance in seven", "Three Fair Dances", "40-49", 160, 70, 100, 4, 20, 4, 1, 0, false},
    {"A. M.", "Not yet begun", "Three Fair Dances", "50-57", 160, 70, 100, 0, 0, 0, 1, 0, false},
};

static inline struct passo_report *scene_band(void)
{
    struct plan plan[8] = {scene_climb};
    memcpy(plan + 1, scene_others, sizeof scene_others);
    return tools_report(plan, 8);
}

/* Thirty players with four passages of a week each; some did not practise. */
static inline struct passo_report *scene_studio(void)
{
    static struct plan plan[120];
    static char player[30][24];
    for (unsigned i = 0; i < 120; i++) {
        snprintf(player[i / 4], sizeof player[0], "Player %u", i / 4 + 1);
        plan[i] = i % 4 ? scene_others[i % 4] : scene_climb;
        plan[i].player = player[i / 4];
        plan[i].sessions = i % 11 == 5 ? 0 : 1 + i * 7 % 6;
        plan[i].passes = i % 13 == 3 ? 3 : 8 + i % 9;
        plan[i].clean_of_10 = 4 + i % 7;
        plan[i].apart = 1;
        plan[i].gap_at = i % 9 == 7 ? 1 : 0;
        plan[i].extras = false;
    }
    struct passo_report *report = tools_report(plan, 120);
    report->from_day = 20261119;
    report->to_day = TOOLS_TODAY;
    return report;
}

/* Titles of random bytes, of up to 10,000; `seed` 0: harmless ones. All else is the same, so that
 * the pages of all seeds are to be of the same elements. */
static inline struct passo_report *scene_random(uint32_t seed)
{
    static char text[4][10001];
    struct plan plan[2] = {scene_climb, scene_others[6]};
    for (size_t i = 0; i < 4; i++) {
        size_t length = seed ? 1 + tools_draw(&seed, i % 2 ? 60 : 10000) : 5;
        const char *said = "<>&\"'/=;!-\xE2\x80\xAE\xC3\xEF\xBF\xBE\x01\n\r\t abcsyle";
        for (size_t k = 0; k < length; k++)
            text[i][k] = !seed                  ? 'h'
                         : tools_draw(&seed, 3) ? said[tools_draw(&seed, (uint32_t)strlen(said))]
                                                : (char)(1 + tools_draw(&seed, 255));
        text[i][length] = '\0';
    }
    for (size_t i = 0; i < 2; i++) {
        plan[i].player = text[0];
        plan[i].title = text[1 + i];
        plan[i].piece = text[3];
        plan[i].bars = text[3];
        plan[i].clean_of_10 = 10; /* no bars are missed: their numbers would be of the bytes */
    }
    plan[0].sessions = 2;
    return tools_report(plan, 2);
}

/* How many sessions and passes; false if the name says nothing of that. */
static inline bool scene_amount(const char *name, struct plan *plan)
{
    static const struct {
        const char *name;
        unsigned sessions;
        unsigned passes;
        int apart;
        int gap_at;
        bool extras;
    } amounts[] = {
        {"climb", 12, 18, 1, 0, true},    {"pass", 1, 1, 1, 0, false},
        {"session", 1, 18, 1, 0, true},   {"sessions25", 25, 33, 1, 11, true},
        {"years", 600, 18, 1, 200, true}, {"same-day", 4, 18, 0, 0, true},
        {"heavy", 400, 100, 1, 0, true},
    };
    for (size_t i = 0; i < sizeof amounts / sizeof *amounts; i++) {
        if (strcmp(name, amounts[i].name) != 0)
            continue;
        plan->sessions = amounts[i].sessions;
        plan->passes = amounts[i].passes;
        plan->apart = amounts[i].apart;
        plan->gap_at = amounts[i].gap_at;
        plan->extras = amounts[i].extras;
        return true;
    }
    return false;
}

static inline struct passo_report *scene_one(const char *name)
{
    struct plan plan = scene_climb;
    if (scene_amount(name, &plan))
        return tools_report(&plan, 1);
    if (!strcmp(name, "no-target")) {
        plan.target_bpm = 0;
    } else if (!strcmp(name, "over")) {
        plan.reach_bpm = 152;
    } else if (!strcmp(name, "all-clean")) {
        plan.clean_of_10 = 10;
        plan.extras = false;
    } else if (!strcmp(name, "all-missed")) {
        plan.clean_of_10 = 0;
        plan.extras = false;
        plan.sessions = 5;
    } else if (!strcmp(name, "long")) {
        plan.title = plan.piece = SCENE_LONG;
        plan.bars = "101-188";
    } else if (!strcmp(name, "hostile")) {
        plan.player = plan.title = plan.piece = plan.bars = SCENE_HOSTILE;
        plan.sessions = 3;
    } else {
        return NULL;
    }
    return tools_report(&plan, 1);
}

/* NULL if there is none of that name. */
static inline struct passo_report *scene_named(const char *name)
{
    if (!strcmp(name, "band"))
        return scene_band();
    if (!strcmp(name, "studio"))
        return scene_studio();
    if (!strncmp(name, "random", 6))
        return scene_random((uint32_t)atoi(name + 6));
    if (!strcmp(name, "empty"))
        return tools_report(NULL, 0);
    return scene_one(name);
}

#endif
