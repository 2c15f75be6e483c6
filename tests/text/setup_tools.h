/* Passage files written to a folder of the test's own, resolved with options, and their faults. */
#ifndef PASSO_TEST_SETUP_TOOLS_H
#define PASSO_TEST_SETUP_TOOLS_H

#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <cmocka.h>

#include "text/notation.h"
#include "text/setup.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

struct trial {
    struct passo_lines lines;
    struct passo_faults faults;
    struct passo_setup setup;
};

/* A group setup: works in a new empty folder, in which presets are those of the source tree and
 * nothing else of the machine's is found. */
static inline int enter_folder(void **state)
{
    static char folder[] = "/tmp/passo-text-XXXXXX";
    assert_non_null(mkdtemp(folder));
    assert_int_equal(chdir(folder), 0);
    assert_int_equal(mkdir("data", 0700), 0);
    assert_int_equal(mkdir("data/passo", 0700), 0);
    assert_int_equal(symlink(PASSO_SOURCE_DIR "/presets", "data/passo/presets"), 0);
    char path[128];
    snprintf(path, sizeof path, "%s/data", folder);
    setenv("XDG_DATA_HOME", path, 1);
    snprintf(path, sizeof path, "%s/config", folder);
    setenv("XDG_CONFIG_HOME", path, 1);
    *state = folder;
    return 0;
}

static inline int leave_folder(void **state)
{
    char command[128];
    snprintf(command, sizeof command, "rm -rf '%s'", (const char *)*state);
    return chdir("/") || system(command);
}

static inline void write_file(const char *path, const void *bytes, size_t length)
{
    FILE *file = fopen(path, "wb");
    assert_non_null(file);
    assert_int_equal(fwrite(bytes, 1, length, file), length);
    assert_int_equal(fclose(file), 0);
}

/* Resolves march.passo with this text, if any, and options "key", "value", ..., NULL, if any. */
static inline void try_lines(struct trial *trial, const char *text, const char *const *options,
                             bool need_target)
{
    memset(trial, 0, sizeof *trial);
    if (text) {
        write_file("march.passo", text, strlen(text));
        passo_lines_add_file(&trial->lines, "march.passo", &trial->faults);
    }
    for (; options && *options; options += 2)
        passo_lines_add_option(&trial->lines, options[0], options[1], &trial->faults);
    passo_setup_resolve(&trial->lines, need_target, &trial->setup, &trial->faults);
}

static inline void trial_end(struct trial *trial)
{
    passo_lines_deinit(&trial->lines);
    passo_faults_deinit(&trial->faults);
}

static inline void assert_no_faults(const struct trial *trial)
{
    for (size_t i = 0; i < trial->faults.faults; i++)
        print_error("fault: %s\n", trial->faults.fault[i]);
    assert_int_equal(trial->faults.faults, 0);
}

/* That there is exactly this one fault. */
static inline void assert_fault(const struct trial *trial, const char *sentence)
{
    for (size_t i = 0; i < trial->faults.faults; i++)
        if (trial->faults.faults != 1 || strcmp(trial->faults.fault[i], sentence))
            print_error("fault: %s\n", trial->faults.fault[i]);
    assert_int_equal(trial->faults.faults, 1);
    assert_string_equal(trial->faults.fault[0], sentence);
}

/* That there is exactly one fault, and these words in it. */
static inline void assert_fault_says(const struct trial *trial, const char *place, const char *read,
                                     const char *would_do)
{
    if (trial->faults.faults != 1)
        for (size_t i = 0; i < trial->faults.faults; i++)
            print_error("fault: %s\n", trial->faults.fault[i]);
    assert_int_equal(trial->faults.faults, 1);
    const char *sentence = trial->faults.fault[0];
    if (strncmp(sentence, place, strlen(place)) || !strstr(sentence, read) ||
        !strstr(sentence, would_do))
        print_error("fault: %s\nwanted: %s ... %s ... %s\n", sentence, place, read, would_do);
    assert_int_equal(strncmp(sentence, place, strlen(place)), 0);
    assert_non_null(strstr(sentence, read));
    assert_non_null(strstr(sentence, would_do));
}

static inline void assert_ratio(struct passo_ratio value, int64_t num, int64_t den)
{
    assert_int_equal(value.num, num);
    assert_int_equal(value.den, den);
}

/* Every field; padding does not matter. */
static inline void assert_rules_equal(const struct passo_rule *a, const struct passo_rule *b)
{
#define SAME(field) assert_int_equal(a->field, b->field)
    SAME(target_mbpm);
    SAME(start_mbpm);
    SAME(start_permille);
    SAME(climbs);
    SAME(lengths);
    SAME(edge_within_mbpm);
    SAME(ceiling_mbpm);
    SAME(steps);
    SAME(step_mbpm);
    SAME(step_permille);
    SAME(step_rungs);
    SAME(list_count);
    for (size_t i = 0; i < a->list_count; i++)
        SAME(list_mbpm[i]);
    SAME(raise_clean);
    SAME(raise_of);
    SAME(raise_coins);
    SAME(drop);
    SAME(drop_rungs);
    SAME(drop_misses);
    SAME(drop_counts);
    SAME(miss);
    SAME(lifts);
    for (size_t i = 0; i < a->lifts; i++)
        SAME(lift[i]);
    SAME(turn);
    SAME(anchor_permille);
    SAME(over_passes);
    SAME(over_permille);
    SAME(close_clean);
    SAME(close_thins);
    SAME(finish_passes);
    SAME(put_away_passes);
    SAME(put_away_permille);
    SAME(plateau_drops);
    SAME(plateau_clean);
    SAME(tired_misses);
    SAME(tired_of);
    SAME(tired_played_ms);
    SAME(stop_ms);
    SAME(stop_passes);
    SAME(stop_misses);
    SAME(stage_ms);
    SAME(stage_passes);
    SAME(stage_misses);
    SAME(unmarked);
    SAME(rest_permille);
    SAME(rest_fixed_ms);
    SAME(rest_least_ms);
    SAME(rest_most_ms);
    SAME(cold);
    SAME(resume_permille);
    SAME(resume_rungs);
#undef SAME
}

/* A line of [ladder], as in a file, with target 96. */
static inline void assert_rule(const char *line, const struct passo_rule *want)
{
    char text[512];
    struct trial trial;
    snprintf(text, sizeof text, "[passage]\ntarget = 96\n[ladder]\n%s\n", line);
    try_lines(&trial, text, NULL, true);
    if (trial.faults.faults)
        print_error("in %s\n", line);
    assert_no_faults(&trial);
    assert_rules_equal(&trial.setup.rule, want);
    trial_end(&trial);
}

#define RULE(line, ...)                                                                            \
    do {                                                                                           \
        struct passo_rule want = passo_rule_default();                                             \
        want.target_mbpm = 96000;                                                                  \
        __VA_ARGS__;                                                                               \
        assert_rule(line, &want);                                                                  \
    } while (0)

static inline void assert_bad(const char *section, const char *key, const char *value,
                              const char *would_do)
{
    char text[512];
    char read[256];
    struct trial trial;
    snprintf(text, sizeof text, "[passage]\ntarget = 96\n[%s]\n%s = %s\n", section, key, value);
    snprintf(read, sizeof read, "%s = %s: ", key, value);
    try_lines(&trial, text, NULL, true);
    assert_fault_says(&trial, "march.passo, line 4: ", read, would_do);
    trial_end(&trial);
}

static inline void assert_place(struct passo_place place, int32_t bar, int64_t num, int64_t den)
{
    assert_int_equal(place.bar, bar);
    assert_ratio(place.at, num, den);
}

#endif
