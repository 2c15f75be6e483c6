/* How long a pass and what comes before it take, by the rules of the conductor (session/rest.c,
 * session/hearing.c). Thread: the main thread. */
#ifndef PASSO_COMMAND_PLAN_TIMES_H
#define PASSO_COMMAND_PLAN_TIMES_H

#include "text/setup.h"

enum { PLAN_RATE_HZ = 48000 };

#define PLAN_NS_A_MS INT64_C(1000000)

struct plan_times {
    int64_t count_in_ns;
    int64_t play_ns; /* with the landing */
    int64_t rest_ns; /* that the rule gives to it */
};

struct passo_pass_shape plan_shape(const struct passo_setup *setup, const struct passo_loop *loop,
                                   int32_t mbpm);
struct plan_times plan_times(const struct passo_pass_shape *shape, const struct passo_rule *rule);

/* A pass as far as it matters for what is heard before the next. */
struct plan_played {
    int32_t mbpm;
    const struct passo_loop *loop;
    const struct passo_variant *variant;
};

/* What the machine plays before the passes of a climb. */
struct plan_hearing {
    const struct passo_setup *setup;
    struct passo_notes *varied; /* NULL: no notes are known */
    const struct passo_variant *varied_of;
    struct plan_played *played; /* that counted */
    size_t passes;
};

void plan_hearing_init(struct plan_hearing *out_hearing, const struct passo_setup *setup);
void plan_hearing_deinit(struct plan_hearing *hearing);
/* Whether there are notes to hear in this pass, at whatever time. */
bool plan_hearing_can(struct plan_hearing *hearing, const struct passo_plan *plan);
/* Whether this pass is heard before it is played, as the setup asks for it. */
bool plan_hearing_is_due(struct plan_hearing *hearing, const struct passo_plan *plan);
/* It has been played. */
void plan_hearing_played(struct plan_hearing *hearing, const struct passo_plan *plan);
/* From the beginning of what the machine plays to the count-in: of a pass that is heard first, of a
 * starting note, or 0. */
int64_t plan_hearing_ns(const struct plan_hearing *hearing, bool is_heard,
                        const struct plan_times *times);
/* The rest before such a pass, at least as long as all that takes; where the time is told in it (as
 * nearly up) that comes first. */
int64_t plan_rest_ns(int64_t ruled_ns, int64_t hearing_ns, bool tells_time);

#endif
