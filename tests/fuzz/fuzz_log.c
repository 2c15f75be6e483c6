/* Any bytes as a session CSV of earlier days: its rows are read or told, what they give of a
 * passage is in order, marks can be fitted, and a climb opens where they let it. And as one that is
 * taken into the log; and as numbers in the log's own table of what was done of a routine. */
#include "fuzz.h"

#include "store/past.h"
#include "text/notation.h"

#include <math.h>
#include <unistd.h>

enum { TOLD_MAX = PASSO_CSV_FAULTS_MAX + 1 };

static size_t told;

static void take_fault(void *user, const char *sentence)
{
    (void)user;
    told++;
    FUZZ_CHECK(told <= TOLD_MAX && sentence[0]);
}

/* A march with a halved chain and two ways to play it. */
static const char march[] = "[passage]\ntitle=march\ntarget=104\n[loops]\nchain=halves\n"
                            "[variants]\nlow=octave -1\nat pitch=as written\n"
                            "[stage parts]\nloop=first half,second half\nturn=whole climb\n"
                            "[stage by length]\nchain=forward by 1 bar\nclimbs=length\n"
                            "[stage all]\nloop=whole\nstart=80 % of lower result\n";

static void check_log(const struct passo_past_log *log)
{
    double played = 0;
    FUZZ_CHECK(log->groups <= PASSO_SKILL_GROUPS_MAX && log->last_day <= FUZZ_TODAY);
    for (size_t i = 0; i < log->groups; i++) {
        const struct passo_skill_group *group = &log->group[i];
        FUZZ_CHECK(isfinite(group->x) && group->n >= 0 && group->y >= 0 && group->y <= group->n);
        FUZZ_CHECK(i == 0 || log->group[i - 1].x < group->x);
        played += group->n;
    }
    /* A pass weighs 1 at the most: earlier ones have faded. */
    FUZZ_CHECK(played <= log->passes * 1.000001 && log->days <= log->passes);
    for (size_t i = 0; i < log->pasts; i++)
        FUZZ_CHECK(log->past[i].best_clean_mbpm >= 0 && log->past[i].best_clean_mbpm <= 104000);
}

static void check_fit(const struct passo_past_log *log)
{
    struct passo_skill_fit fit;
    if (log->groups == 0 || passo_skill_fit(log->group, log->groups, true, &fit) != PASSO_OK)
        return;
    FUZZ_CHECK(isfinite(fit.skill.slope) && isfinite(fit.skill.intercept));
    const double clean = passo_skill_clean(&fit.skill, 104000);
    FUZZ_CHECK(clean >= 0 && clean <= 1);
}

static void check_opening(const struct passo_past_log *log, struct passo_random *random)
{
    static struct fuzz_trial trial;
    char fault[256];
    fuzz_trial_file(&trial, march, sizeof march - 1, true);
    if (trial.faults.faults)
        fprintf(stderr, "%s\n", trial.faults.fault[0]);
    FUZZ_CHECK(trial.faults.faults == 0);
    passo_course_resume(&trial.setup.course, &trial.setup.passage, log->past, log->pasts,
                        log->missed);
    FUZZ_CHECK(passo_course_check(&trial.setup.course, fault, sizeof fault) == PASSO_OK);
    fuzz_check_course(&trial.setup, random);
    fuzz_trial_end(&trial);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t bytes)
{
    const struct passo_past_wish wish = {.passage = "march",
                                         .piece = "",
                                         .player = bytes % 2 ? "" : "AB",
                                         .beat = {1, 4},
                                         .target_mbpm = 104000,
                                         .today = FUZZ_TODAY,
                                         .read_beat = passo_note_value_read};
    const struct passo_csv_taker taker = {.fault = take_fault};
    struct passo_past_log log;
    struct passo_random random;
    char path[FUZZ_PATH_BYTES];
    char fault[512] = "";
    fuzz_memory_begin();
    fuzz_seed(&random, data, bytes);
    told = 0;
    int fd = fuzz_file(data, bytes, path);
    if (passo_past_read(path, &wish, &taker, &log, fault, sizeof fault) == PASSO_OK) {
        check_log(&log);
        check_fit(&log);
        if (log.pasts)
            check_opening(&log, &random);
        passo_past_deinit(&log);
        fuzz_check_import(data, bytes);
    } else {
        FUZZ_CHECK(fault[0]);
        if (fuzz_one_in(&random, 16))
            fuzz_check_import(data, bytes);
    }
    close(fd);
    fuzz_check_deeds(&random, data, bytes);
    fuzz_memory_end();
    return 0;
}
