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
    size_t count = 0;
    const struct passo_setting *settings = passo_settings(&count);
    for (size_t i = 0; i < count; i++)
        if (!strcmp(settings[i].section, section) && said(lines, &settings[i]))
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
            rows_put_setting(rows, &settings[i], line->value);
        else if (unsaid)
            rows_put_unsaid(rows, &settings[i]);
    }
}

/* "# [ladder]     start, steps, raise ..." */
static void put_words_of(struct rows *rows, const char *section)
{
    char lead[32];
    char words[KEYS_MAX] = "";
    size_t count = 0;
    const struct passo_setting *settings = passo_settings(&count);
    for (size_t i = 0; i < count; i++) {
        size_t used = strlen(words);
        bool named = setting_is_named((enum setting_id)i);
        if (!strcmp(settings[i].section, section))
            snprintf(words + used, sizeof words - used, "%s%s", used ? ", " : "",
                     named ? settings[i].value : settings[i].key);
    }
    bool stage = setting_stage_name(section);
    snprintf(lead, sizeof lead, "[%s]%*s", stage ? "stage NAME" : section,
             (int)(stage ? 2 : 12 - strlen(section)), "");
    rows_note(rows, lead,
              stage ? "a ladder of its own for a loop: lines of [ladder], loop" : words);
}

void passo_lines_write(const struct passo_lines *lines, FILE *to)
{
    struct rows rows = {.to = to};
    size_t count = 0;
    const struct passo_setting *settings = passo_settings(&count);
    for (size_t i = 0; i < count; i++) {
        const char *section = settings[i].section;
        bool passage = !strcmp(section, "passage");
        if (i && !strcmp(settings[i - 1].section, section))
            continue;
        if (setting_section_is_named(section)) {
            rows_named_section(&rows, lines, section, PASSO_RANK_FILE);
        } else if (passage || says_any(lines, section)) {
            rows_section(&rows, section);
            put_settings(&rows, lines, section, passage);
        }
    }
    rows_other_sections(&rows, lines, PASSO_RANK_FILE);
    fputc('\n', to);
    rows_note(&rows, "",
              "More can be said, each section under a line of its own with its name in "
              "brackets; passo climb --help tells what the lines mean.");
    for (size_t i = 0; i < count; i++)
        if (strcmp(settings[i].section, "passage") != 0 &&
            (!i || strcmp(settings[i - 1].section, settings[i].section) != 0))
            put_words_of(&rows, settings[i].section);
}
