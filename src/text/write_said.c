/* Writes what is said, and no more: a new passage file, with comments that tell what else a player
 * could say. The settings table drives it. */
#include "text/rows.h"
#include "text/settings.h"

#include <stdlib.h>
#include <string.h>

#define KEYS_MAX 1024

/* The line that says a setting; what a preset says is not said here. */
static const struct passo_line *said(const struct passo_lines *lines,
                                     const struct passo_setting *setting)
{
    const struct passo_line *line = rows_line_of(lines, setting);
    return line && line->rank != PASSO_RANK_PRESET ? line : NULL;
}

static bool says_any(const struct passo_lines *lines, const char *section)
{
    for (size_t i = 0; i < lines->lines; i++)
        if (lines->line[i].rank != PASSO_RANK_PRESET && !strcmp(lines->line[i].section, section))
            return true;
    return false;
}

static void put_settings(struct rows *rows, const struct passo_lines *lines, const char *section,
                         bool unsaid)
{
    size_t count = 0;
    const struct passo_setting *settings = passo_settings(&count);
    for (size_t i = 0; i < count; i++) {
        const struct passo_line *line = said(lines, &settings[i]);
        if (strcmp(settings[i].section, section))
            continue;
        if (line)
            rows_put(rows, settings[i].key, line->value, settings[i].help);
        else if (unsaid)
            rows_put_unsaid(rows, &settings[i]);
    }
}

static void put_named(struct rows *rows, const struct passo_lines *lines, const char *section)
{
    for (size_t i = 0; i < lines->lines; i++) {
        const struct passo_line *line =
            strcmp(lines->line[i].section, section) ? NULL : rows_last_named(lines, i);
        if (line && line->rank != PASSO_RANK_PRESET)
            rows_put(rows, line->key, line->value, "");
    }
}

/* The stages, each where its first line comes. */
static void put_stages(struct rows *rows, const struct passo_lines *lines)
{
    for (size_t i = 0; i < lines->lines; i++) {
        const char *section = lines->line[i].section;
        size_t first = 0;
        while (first < i && (lines->line[first].rank == PASSO_RANK_PRESET ||
                             strcmp(lines->line[first].section, section) != 0))
            first++;
        if (first < i || lines->line[i].rank == PASSO_RANK_PRESET || !setting_stage_name(section))
            continue;
        rows_section(rows, lines, section);
        put_named(rows, lines, section);
    }
}

/* "# [ladder]  start, steps, raise ..." */
static void put_words_of(struct rows *rows, const char *section)
{
    char lead[32];
    char words[KEYS_MAX] = "";
    size_t count = 0;
    const struct passo_setting *settings = passo_settings(&count);
    snprintf(lead, sizeof lead, "[%s]%*s", section, (int)(12 - strlen(section)), "");
    for (size_t i = 0; i < count; i++) {
        bool named = setting_section_is_named(section);
        size_t used = strlen(words);
        if (!strcmp(settings[i].section, section))
            snprintf(words + used, sizeof words - used, "%s%s", used ? ", " : "",
                     named ? settings[i].value : settings[i].key);
    }
    rows_note(rows, lead, words);
}

void passo_lines_write(const struct passo_lines *lines, FILE *to)
{
    struct rows rows = {.to = to};
    size_t count = 0;
    const struct passo_setting *settings = passo_settings(&count);
    for (size_t i = 0; i < count; i++) {
        const char *section = settings[i].section;
        bool passage = !strcmp(section, "passage");
        bool again = i && !strcmp(settings[i - 1].section, section);
        if (again || (!passage && !says_any(lines, section)))
            continue;
        rows_section(&rows, lines, section);
        if (setting_section_is_named(section))
            put_named(&rows, lines, section);
        else
            put_settings(&rows, lines, section, passage);
    }
    put_stages(&rows, lines);
    fputc('\n', to);
    rows_note(&rows, "",
              "More can be said, each section under a line of its own with its name in "
              "brackets; passo climb --help tells what the lines mean.");
    for (size_t i = 0; i < count; i++)
        if (strcmp(settings[i].section, "passage") != 0 &&
            (!i || strcmp(settings[i - 1].section, settings[i].section) != 0))
            put_words_of(&rows, settings[i].section);
}
