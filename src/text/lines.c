/* Lines: the list that a setup is resolved from, kept sorted by who said what. A preset is taken in
 * when it is named, by a file or an option, and goes below everything else; the lines of a second
 * one replace those of the first. */
#include "text/lines.h"
#include "text/notes_lines.h"
#include "text/quote.h"
#include "text/scan.h"
#include "text/settings.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

static void line_deinit(struct passo_line *line)
{
    free(line->section);
    free(line->key);
    free(line->value);
    free(line->origin);
    free(line->folder);
    for (size_t i = 0; i < line->parts; i++)
        free(line->part[i].origin);
    free(line->part);
}

void passo_lines_deinit(struct passo_lines *lines)
{
    for (size_t i = 0; i < lines->lines; i++)
        line_deinit(&lines->line[i]);
    free(lines->line);
    *lines = (struct passo_lines){0};
}

/* Room grows in powers of two, so that the count alone tells when it is full. */
static void lines_grow(struct passo_lines *lines)
{
    size_t count = lines->lines;
    if (count & (count - 1))
        return;
    size_t room = count ? count * 2 : 1;
    lines->line = passo_xrealloc(lines->line, room * sizeof *lines->line);
}

/* To the byte: blanks around it are part of a folder's name. */
static char *copy_folder(const char *folder)
{
    if (!folder)
        return NULL;
    char *copy = passo_xcalloc(strlen(folder) + 1, 1);
    strcpy(copy, folder);
    return copy;
}

void lines_insert(struct passo_lines *lines, const struct passo_line *line)
{
    lines_grow(lines);
    size_t at = lines->lines;
    while (at && lines->line[at - 1].rank > line->rank)
        at--;
    memmove(lines->line + at + 1, lines->line + at, (lines->lines - at) * sizeof *lines->line);
    lines->line[at] = (struct passo_line){.section = scan_copy(line->section),
                                          .key = scan_copy(line->key),
                                          .value = scan_copy(line->value),
                                          .origin = scan_copy(line->origin),
                                          .folder = copy_folder(line->folder),
                                          .rank = line->rank};
    lines->lines++;
}

static void fault_unknown_key(const struct passo_line *line, struct passo_faults *faults)
{
    char hint[128];
    if (lines_faults_full(faults))
        return;
    const struct passo_setting *nearest = passo_setting_nearest(line->key);
    bool option = line->rank == PASSO_RANK_OPTION;
    if (nearest)
        snprintf(hint, sizeof hint, "not known here; did you mean %s%s?", option ? "--" : "",
                 nearest->key);
    else
        snprintf(hint, sizeof hint, "not known here; %s",
                 option ? "passo climb --help lists all options"
                        : "the options of passo climb --help are the lines of a file");
    lines_fault(faults, line, hint);
}

static void fault_wrong_section(const struct passo_line *line, const struct passo_setting *setting,
                                struct passo_faults *faults)
{
    char hint[128];
    enum setting_id id = setting_id_of(setting->key);
    if (id == SETTING_stage)
        snprintf(hint, sizeof hint, "a stage has a section of its own: [stage first half]");
    else if (setting_is_named(id))
        snprintf(hint, sizeof hint, "this stands under [%s], one %s a line", setting->section,
                 setting->value);
    else if (setting_stage_name(line->section))
        snprintf(hint, sizeof hint, "this holds for all stages; it belongs under [%s]",
                 setting->section);
    else
        snprintf(hint, sizeof hint, "this line belongs under [%s]", setting->section);
    lines_fault(faults, line, hint);
}

/* Whether the setting of this line may stand in its section. The target is a part of the ladder
 * too: it may stand in either. */
static bool section_fits(const struct passo_line *line, const struct passo_setting *setting)
{
    enum setting_id id = setting_id_of(setting->key);
    if (setting_stage_name(line->section))
        return setting_is_of_stage(id);
    return !strcmp(setting->section, line->section) ||
           (id == SETTING_target && !strcmp(line->section, "ladder"));
}

/* Where the page said the same already, or NULL. Options may come again: the later one wins. */
static struct passo_line *said_before(const struct passo_lines *lines,
                                      const struct passo_line *line)
{
    for (size_t i = 0; line->rank != PASSO_RANK_OPTION && i < lines->lines; i++) {
        struct passo_line *before = &lines->line[i];
        bool anywhere = !setting_line_is_named(line) && !setting_line_is_named(before) &&
                        !setting_stage_name(line->section) && !setting_stage_name(before->section);
        if (before->rank == line->rank && !strcmp(before->key, line->key) &&
            (anywhere || !strcasecmp(before->section, line->section)))
            return before;
    }
    return NULL;
}

static void fault_said_twice(const struct passo_line *line, const struct passo_line *before,
                             struct passo_faults *faults)
{
    char hint[PASSO_PATH_BYTES + 96];
    const char *place = strstr(before->origin, ", line ");
    snprintf(hint, sizeof hint, "this is said already (%s); %s", place ? place + 2 : before->origin,
             !strcmp(line->section, "shape") ? "both on one line, with a comma, would do"
                                             : "one of them would do");
    lines_fault(faults, line, hint);
}

void lines_accept(struct passo_lines *lines, const struct passo_line *line,
                  struct passo_faults *faults)
{
    struct passo_line *before = said_before(lines, line);
    bool named = setting_line_is_named(line);
    const struct passo_setting *setting = named ? NULL : passo_setting_find(line->key);
    if (!named && !setting)
        fault_unknown_key(line, faults);
    else if (setting && !section_fits(line, setting))
        fault_wrong_section(line, setting, faults);
    else if (line->rank == PASSO_RANK_PRESET && !strcmp(line->section, "loops") && named)
        lines_fault(
            faults, line,
            "a preset has no loops, for it knows no bars; a chain would do: chain = halves");
    else if (before && notes_lines_join(before, line))
        return;
    else if (before)
        fault_said_twice(line, before, faults);
    else if (lines->lines == LINES_MAX)
        lines_fault(faults, line, "there are too many lines; 4096 would do");
    else
        lines_insert(lines, line);
}

static void accept_named_option(struct passo_lines *lines, struct passo_line *line,
                                const struct passo_setting *setting, struct passo_faults *faults)
{
    char *equals = strchr(line->value, '=');
    if (!equals) {
        char shown[LINES_QUOTE_MAX];
        passo_fault(faults, "%s %s: this is written %s", line->origin,
                    lines_quote(line->value, shown), setting->value);
        return;
    }
    *equals = '\0';
    enum setting_id id = setting_id_of(setting->key);
    /* A bar is no name: "Bar 2" is what a file reads as "bar 2". */
    char *key = id == SETTING_shape ? scan_copy_lower(line->value) : scan_copy(line->value);
    line->key = key;
    line->value = equals + 1;
    /* A chain has an option of its own; as a loop's name it would be one in a file. */
    if (id == SETTING_loop && !setting_line_is_named(line))
        passo_fault(faults, "%s: this name is taken; a chain is written --chain halves",
                    line->origin);
    else
        lines_accept(lines, line, faults);
    free(key);
}

/* A stage's name is one that a section of a file can have: [stage NAME] knows no quotes. NULL, or
 * what would do. */
static const char *judge_stage_name(const char *name)
{
    if (!*name)
        return "this is written NAME: LINE, as in second half: start = 70 %";
    if (strlen(name) > SECTION_BYTES_MAX - strlen("stage "))
        return "a stage's name has at most 33 bytes";
    return quote_bare(name, QUOTE_AS_VALUE) && !strchr(name, ']')
               ? NULL
               : "a stage's name has no ; ] or quotes in it";
}

/* "NAME: KEY=VALUE" */
static void accept_stage_option(struct passo_lines *lines, const struct passo_line *line,
                                struct passo_faults *faults)
{
    char *text = scan_copy(line->value);
    char *colon = strchr(text, ':');
    char *equals = colon ? strchr(colon, '=') : NULL;
    if (equals)
        *colon = *equals = '\0';
    char *name = scan_copy(equals ? text : "");
    const char *fault = judge_stage_name(name);
    if (fault) {
        char shown[LINES_QUOTE_MAX];
        lines_quote(line->value, shown);
        passo_fault(faults, "%s %s: %s", line->origin, *shown ? shown : "\"\"", fault);
    } else {
        struct passo_line own = *line;
        char section[SECTION_BYTES_MAX + 1];
        snprintf(section, sizeof section, "stage %s", name);
        own.section = section;
        own.key = scan_copy_lower(colon + 1);
        own.value = equals + 1 + strspn(equals + 1, " \t");
        lines_accept(lines, &own, faults);
        free(own.key);
    }
    free(name);
    free(text);
}

void passo_lines_add_option(struct passo_lines *lines, const char *key, const char *value,
                            struct passo_faults *faults)
{
    char shown[LINES_QUOTE_MAX];
    char origin[LINES_QUOTE_MAX + 2];
    snprintf(origin, sizeof origin, "--%s", lines_quote(key, shown));
    char *word = scan_copy_lower(key);
    const struct passo_setting *setting = passo_setting_find(word);
    char *text = scan_copy(value);
    char *section = scan_copy(setting ? setting->section : "");
    struct passo_line line = {.section = section,
                              .key = word,
                              .value = text,
                              .origin = origin,
                              .rank = PASSO_RANK_OPTION};
    if (setting && setting_is_named(setting_id_of(setting->key)))
        accept_named_option(lines, &line, setting, faults);
    else if (setting && setting == setting_at(SETTING_stage))
        accept_stage_option(lines, &line, faults);
    else
        lines_accept(lines, &line, faults);
    if (*text && setting && setting == setting_at(SETTING_preset))
        lines_set_preset(lines, text, origin, PASSO_RANK_OPTION, faults);
    free(section);
    free(text);
    free(word);
}

void passo_lines_take_back(struct passo_lines *lines)
{
    PASSO_BUG_ON(!lines->lines || lines->line[lines->lines - 1].rank != PASSO_RANK_OPTION);
    line_deinit(&lines->line[--lines->lines]);
}

void passo_lines_drop(struct passo_lines *lines, bool (*which)(const struct passo_line *line))
{
    /* A list of its own keeps the rule that the room is a power of two. */
    struct passo_lines rest = {.preset_rank = lines->preset_rank,
                               .today_yyyymmdd = lines->today_yyyymmdd};
    for (size_t i = 0; i < lines->lines; i++) {
        if (which(&lines->line[i])) {
            line_deinit(&lines->line[i]);
            continue;
        }
        lines_grow(&rest);
        rest.line[rest.lines++] = lines->line[i];
    }
    free(lines->line);
    *lines = rest;
}

static bool is_preset(const struct passo_line *line)
{
    return line->rank == PASSO_RANK_PRESET;
}

/* "there is no preset of this name; there are halfway, marks, ..." */
static void fault_no_preset(const char *name, const char *origin, struct passo_faults *faults)
{
    char all[1024] = "";
    char shown[LINES_QUOTE_MAX];
    char **names = NULL;
    size_t count = passo_find_all("presets", &names);
    for (size_t i = 0; i < count; i++) {
        size_t used = strlen(all);
        char one[LINES_QUOTE_MAX];
        snprintf(all + used, sizeof all - used, "%s%s",
                 i ? ", " : "; there are: ", lines_quote(names[i], one));
        free(names[i]);
    }
    free(names);
    passo_fault(faults, "%s: there is no preset called %s%s", origin,
                *name ? lines_quote(name, shown) : "\"\"", all);
}

void lines_set_preset(struct passo_lines *lines, const char *name, const char *origin,
                      enum passo_rank rank, struct passo_faults *faults)
{
    char path[PASSO_PATH_BYTES];
    if (lines->preset_rank > rank)
        return;
    passo_lines_drop(lines, is_preset);
    lines->preset_rank = rank;
    if (passo_find("presets", name, path))
        lines_read_file(lines, path, PASSO_RANK_PRESET, faults);
    else
        fault_no_preset(name, origin, faults);
}

void passo_lines_add_preset(struct passo_lines *lines, const char *name,
                            struct passo_faults *faults)
{
    lines_set_preset(lines, name, "--preset", PASSO_RANK_OPTION, faults);
}

void passo_lines_add_file(struct passo_lines *lines, const char *path, struct passo_faults *faults)
{
    lines_read_file(lines, path, PASSO_RANK_FILE, faults);
    const struct passo_line *preset = NULL;
    for (size_t i = 0; i < lines->lines; i++)
        if (lines->line[i].rank == PASSO_RANK_FILE && !strcmp(lines->line[i].key, "preset") &&
            !strcmp(lines->line[i].section, "passage"))
            preset = &lines->line[i];
    if (!preset || !*preset->value)
        return;
    char *name = scan_copy(preset->value);
    char *origin = scan_copy(preset->origin);
    lines_set_preset(lines, name, origin, PASSO_RANK_FILE, faults);
    free(origin);
    free(name);
}
