/* The one place where an operand becomes a file: a path as it is, else the name of a filed passage,
 * else, where a command takes them, the name of a preset. */
#include <stdio.h>
#include <string.h>
#include <unistd.h>
#include "command/options.h"
#include "text/notation.h"

static bool names_preset(const struct passo_lines *lines)
{
    for (size_t i = 0; i < lines->lines; i++)
        if (lines->line[i].rank == PASSO_RANK_OPTION && !strcmp(lines->line[i].key, "preset") &&
            !strcmp(lines->line[i].section, "passage"))
            return true;
    return false;
}

static void tell_missing(struct passo_options *options, unsigned takes)
{
    char shown[128];
    passo_text_clean(options->operand, shown, sizeof shown);
    options->path[0] = '\0';
    if (options->is_preset)
        passo_fault(&options->faults, "%s is a preset, not a passage; say --preset %s", shown,
                    shown);
    else
        passo_fault(&options->faults, "%s: there is no such file here, and no passage %s",
                    shown[0] ? shown : "\"\"",
                    takes & PASSO_TAKES_PRESET ? "or preset of that name"
                                               : "is filed under that name");
}

void passo_operand_read(struct passo_options *options, unsigned takes)
{
    const char *operand = options->operand;
    bool is_path = strchr(operand, '/') || access(operand, F_OK) == 0;
    bool is_passage = !is_path && passo_find("passages", operand, options->path);
    options->is_preset = !is_path && !is_passage && passo_find("presets", operand, options->path);
    if (is_path) {
        snprintf(options->path, sizeof options->path, "%s", operand);
        passo_lines_add_file(&options->lines, operand, &options->faults);
    } else if (is_passage) {
        passo_lines_add_file(&options->lines, options->path, &options->faults);
    } else if (!options->is_preset || !(takes & PASSO_TAKES_PRESET)) {
        tell_missing(options, takes);
    } else if (names_preset(&options->lines)) {
        passo_fault(&options->faults, "%s is a preset itself, so that --preset has no place here",
                    operand);
    } else {
        passo_lines_add_preset(&options->lines, operand, &options->faults);
    }
}

void passo_filed_title(struct passo_setup *setup, const char *name)
{
    struct passo_passage *passage = &setup->passage;
    if (!passage->title[0])
        passo_text_clean(name, passage->title, sizeof passage->title);
}

void passo_operand_title(const struct passo_options *options, struct passo_setup *setup)
{
    char path[PASSO_PATH_BYTES];
    const char *operand = options->operand;
    if (operand && passo_find("passages", operand, path) && strcmp(path, options->path) == 0)
        passo_filed_title(setup, operand);
}
