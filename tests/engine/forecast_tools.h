/* What the tests of the forecast share: four bars of 4/4 in quarters, and a course over them. */
#ifndef PASSO_TESTS_FORECAST_TOOLS_H
#define PASSO_TESTS_FORECAST_TOOLS_H

#include "engine/ladder_play.h"

#include <math.h>
#include <stdlib.h>

#include <passo/forecast.h>

#define FORECAST_COUNT(array) (sizeof(array) / sizeof *(array))

struct forecast_scene {
    struct passo_passage passage;
    struct passo_pulse pulse;
    struct passo_course course;
    struct passo_forecast_ask ask;
};

/* A flat skill: every pass is clean with this chance. */
static inline struct passo_skill forecast_flat(double clean)
{
    return (struct passo_skill){log(clean / (1 - clean)), 0};
}

/* Free it. */
static inline struct forecast_scene *forecast_scene(const struct passo_rule *rule)
{
    struct forecast_scene *scene = passo_xcalloc(1, sizeof *scene);
    assert_int_equal(passo_meter_init(&scene->passage.meter, 4, 4), PASSO_OK);
    scene->passage.beat = (struct passo_ratio){1, 4};
    scene->passage.first_bar = 1;
    scene->passage.bars = 4;
    assert_int_equal(passo_passage_complete(&scene->passage), PASSO_OK);
    passo_course_single(&scene->course, &scene->passage, rule);
    assert_int_equal(passo_course_check(&scene->course, NULL, 0), PASSO_OK);
    scene->ask = (struct passo_forecast_ask){.course = &scene->course,
                                             .passage = &scene->passage,
                                             .pulse = &scene->pulse,
                                             .seed = 20261125,
                                             .passes_max = 1000000};
    return scene;
}

#endif
