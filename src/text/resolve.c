/* Resolving: of each setting the last line counts, its reader reads it, then what depends on
 * several lines is joined, and at the end the engine judges the whole. All faults are told, but
 * none that only follows from another. */
#include "text/lines.h"
#include "text/reading.h"
#include "text/settings.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define FIRST_BAR 1
#define BARS      4
#define VOLUME    500 /* permille: moderate, for the ears */
#define NAMED_MAX 256 /* lines of one named section; each reader has its own, lower limit */

static void begin(struct draft *draft, struct passo_setup *setup, struct passo_faults *faults)
{
    memset(draft, 0, sizeof *draft);
    memset(setup, 0, sizeof *setup);
    draft->setup = setup;
    draft->rule = &setup->rule;
    draft->faults = faults;
    setup->rule = passo_rule_default();
    setup->volume_permille = VOLUME;
    setup->intonation.a4_hz = PASSO_A4_HZ;
    setup->passage.first_bar = FIRST_BAR;
    setup->passage.bars = BARS;
    setup->passage.pickup = (struct passo_ratio){0, 1};
    setup->passage.loops = 1;
    setup->passage.variants = 1;
    PASSO_BUG_ON(passo_meter_init(&setup->passage.meter, 4, 4));
}

static void read_line(struct draft *draft, enum setting_id id, const struct passo_line *line)
{
    char empty[128];
    const struct passo_setting *setting = setting_at(id);
    draft->now = id;
    const char *fault = NULL;
    if (!*line->value) {
        snprintf(empty, sizeof empty, "nothing is said; say %s%s%s, or leave it out",
                 setting->value, *setting->usual ? ", as in " : "", setting->usual);
        fault = empty;
    } else {
        fault = setting_reader_at(id)(line->value, draft);
    }
    if (!fault)
        return;
    lines_fault(draft->faults, line, fault);
    draft->bad[id] = true;
    draft->bad_meters |= id == SETTING_shape && strcasestr(line->value, "meter");
}

static void read_settings(struct draft *draft, const struct passo_lines *lines)
{
    for (size_t i = 0; i < lines->lines; i++) {
        enum setting_id id = setting_id_of(lines->line[i].key);
        if (id != SETTING_COUNT && !setting_line_is_named(&lines->line[i]) &&
            !setting_stage_name(lines->line[i].section))
            draft->line[id] = &lines->line[i];
    }
    for (size_t id = 0; id < SETTING_COUNT; id++)
        if (draft->line[id])
            read_line(draft, (enum setting_id)id, draft->line[id]);
}

/* Lines of a named section: the last of each name counts, in the place of the first. */
static void read_named(struct draft *draft, const struct passo_lines *lines, enum setting_id id)
{
    const struct passo_line *named[NAMED_MAX];
    size_t count = 0;
    for (size_t i = 0; i < lines->lines; i++) {
        const struct passo_line *line = &lines->line[i];
        if (strcmp(line->section, setting_at(id)->section) || !setting_line_is_named(line))
            continue;
        size_t same = 0;
        while (same < count && strcmp(named[same]->key, line->key))
            same++;
        if (same == NAMED_MAX) {
            lines_fault(draft->faults, line, "there are too many lines in this section");
            break;
        }
        named[same] = line;
        count += same == count;
    }
    for (size_t i = 0; i < count; i++) {
        draft->own = named[i];
        read_line(draft, id, named[i]);
    }
}

/* What the engine says of the whole. */
static void judge(struct draft *draft)
{
    struct passo_setup *setup = draft->setup;
    char sentence[256];
    if (passo_passage_complete(&setup->passage)) {
        passo_fault(draft->faults, "the bars, pickup and loops of the passage do not fit together");
        return;
    }
    tune_fit(draft);
    if (!setup->rule.target_mbpm)
        return;
    if (passo_course_check(&setup->course, sentence, sizeof sentence)) {
        const struct passo_line *line = stages_line_of(draft, sentence);
        passo_fault(draft->faults, "%s%s%s", line ? line->origin : "", line ? ": " : "", sentence);
    }
}

void passo_setup_resolve(const struct passo_lines *lines, bool need_target,
                         struct passo_setup *out_setup, struct passo_faults *faults)
{
    struct draft *draft = passo_xcalloc(1, sizeof *draft);
    size_t before = faults->faults;
    begin(draft, out_setup, faults);
    draft->today_yyyymmdd = lines->today_yyyymmdd;
    read_settings(draft, lines);
    read_named(draft, lines, SETTING_shape);
    read_named(draft, lines, SETTING_loop);
    read_named(draft, lines, SETTING_variant);
    stages_collect(draft, lines);
    tune_read(draft);
    join_passage(draft);
    tune_join(draft);
    stages_join(draft);
    if (need_target && !out_setup->rule.target_mbpm && !draft->bad[SETTING_target])
        passo_fault(faults,
                    "say the target tempo: --target 96, or `target = quarter = 96` in a file");
    if (faults->faults == before)
        judge(draft);
    faults_order(faults);
    passo_score_deinit(&draft->tune.score);
    free(draft);
}
