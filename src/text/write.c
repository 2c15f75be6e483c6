/* Writes what holds. The settings table drives it: a setting's last line, or what is usual, or what
 * the resolved setup found where that depends on other lines; then the lines that the player names,
 * of whatever section. A new setting needs nothing here. */
#include "text/found.h"
#include "text/notation.h"
#include "text/rows.h"
#include "text/settings.h"

#include <stdlib.h>
#include <string.h>

struct page {
    struct rows rows;
    const struct passo_lines *lines;
    const struct passo_setup *setup;
    bool with_passage;
};

static void put_setting(struct page *page, const struct passo_setting *setting)
{
    char *found = passo_setup_found(page->lines, page->setup, setting->key);
    const struct passo_line *line = rows_line_of(page->lines, setting);
    const char *value = found ? found : line ? line->value : setting->usual;
    const bool yields = found_yields(page->lines, page->setup, setting);
    if (*value && !yields)
        rows_put_setting(&page->rows, setting, value);
    else
        rows_put_unsaid(&page->rows, setting);
    free(found);
}

/* A preset has no [passage]: the target, if it says one, then stands with the ladder. */
static bool moved(const struct page *page, const struct passo_setting *setting)
{
    return !page->with_passage && setting == setting_at(SETTING_target) &&
           rows_line_of(page->lines, setting);
}

static void put_table_section(struct page *page, const char *section)
{
    size_t count = 0;
    const struct passo_setting *settings = passo_settings(&count);
    rows_section(&page->rows, section);
    const struct passo_setting *target = setting_at(SETTING_target);
    if (!strcmp(section, "ladder") && moved(page, target))
        put_setting(page, target);
    for (size_t i = 0; i < count; i++)
        if (!strcmp(settings[i].section, section) && &settings[i] != setting_at(SETTING_preset))
            put_setting(page, &settings[i]);
}

/* Whether a section of the table stands on the page: [stage] has no lines but those of a name. */
static bool fits(const struct page *page, const char *section)
{
    bool of_passage = !strcmp(section, "passage") || !strcmp(section, "shape");
    return (page->with_passage || !of_passage) && !setting_stage_name(section);
}

/* Which preset's lines are written out here. */
static void put_origin(struct page *page)
{
    char shown[PASSO_NAME_MAX];
    char words[sizeof shown + 64];
    const struct passo_line *preset = rows_line_of(page->lines, setting_at(SETTING_preset));
    if (!preset)
        return;
    snprintf(words, sizeof words, "The lines of the preset %s are written out here.",
             passo_text_clean(preset->value, shown, sizeof shown));
    rows_note(&page->rows, "", words);
}

void passo_setup_write(const struct passo_lines *lines, const struct passo_setup *setup,
                       bool with_passage, FILE *to)
{
    struct page page = {
        .rows = {.to = to}, .lines = lines, .setup = setup, .with_passage = with_passage};
    const char *section = "";
    size_t count = 0;
    const struct passo_setting *settings = passo_settings(&count);
    put_origin(&page);
    for (size_t i = 0; i < count; i++) {
        if (!strcmp(settings[i].section, section))
            continue;
        section = settings[i].section;
        if (!fits(&page, section))
            continue;
        if (setting_section_is_named(section))
            rows_named_section(&page.rows, lines, section, PASSO_RANK_PRESET);
        else
            put_table_section(&page, section);
    }
    rows_other_sections(&page.rows, lines, PASSO_RANK_PRESET);
}
