/* `passo show`: a passage, a preset or a routine with all that holds, in the syntax of the files.
 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <unistd.h>
#include "command/options.h"
#include "text/notation.h"
#include "text/routine.h"

enum { TAKES = PASSO_TAKES_SETUP | PASSO_TAKES_FILE | PASSO_TAKES_PRESET };

/* Whether the lines say more than a preset can: where, what and in which meter. A preset may have a
 * chain, though no loop: it knows no bars. */
static bool says_passage(const struct passo_lines *lines)
{
    for (size_t i = 0; i < lines->lines; i++) {
        const struct passo_line *line = &lines->line[i];
        if (!strcmp(line->section, "shape") ||
            (!strcmp(line->section, "loops") && strcmp(line->key, "chain") != 0) ||
            (!strcmp(line->section, "passage") && strcmp(line->key, "target") != 0))
            return true;
    }
    return false;
}

/* What stands above a file stays above; the writer's own comment on a preset joins it. */
static void show_heading(const struct passo_options *options)
{
    bool noted = false;
    for (size_t i = 0; i < options->lines.lines; i++)
        noted = noted || (!strcmp(options->lines.line[i].section, "passage") &&
                          !strcmp(options->lines.line[i].key, "preset"));
    if (options->path[0] && passo_file_heading_write(options->path, stdout) && !noted)
        putchar('\n');
}

static enum passo_exit show(struct passo_options *options)
{
    struct passo_setup *setup = passo_xcalloc(1, sizeof *setup);
    enum passo_exit ended = PASSO_EXIT_USAGE;
    if (!options->operand && !options->lines.lines && !options->faults.faults)
        passo_fault(&options->faults,
                    "say what to show: a file, or a name; passo list tells the names");
    passo_setup_resolve(&options->lines, false, setup, &options->faults);
    if (!passo_faults_told(&options->faults)) {
        bool with_passage = !options->is_preset || says_passage(&options->lines);
        show_heading(options);
        passo_setup_write(&options->lines, setup, with_passage, stdout);
        ended = PASSO_EXIT_DONE;
    }
    free(setup);
    return ended;
}

/* Whether the operand is a routine: a file that has blocks, or a name that no passage and no preset
 * has. */
static bool names_routine(const char *operand, char out_path[PASSO_PATH_BYTES])
{
    bool is_path = strchr(operand, '/') || access(operand, F_OK) == 0;
    if (is_path) {
        snprintf(out_path, PASSO_PATH_BYTES, "%s", operand);
        return passo_routine_is(out_path);
    }
    return !passo_find("passages", operand, out_path) &&
           !passo_find("presets", operand, out_path) && passo_find("routines", operand, out_path);
}

/* A routine has no options that would change it. */
static void refuse_options(struct passo_options *options)
{
    char shown[128];
    passo_text_clean(options->operand, shown, sizeof shown);
    passo_faults_deinit(&options->faults);
    passo_fault(&options->faults, "%s is a routine, which no option changes: passo show %s", shown,
                shown);
}

static enum passo_exit show_routine(const char *path)
{
    struct passo_faults faults = {0};
    passo_routine_write(path, stdout, &faults);
    bool told = passo_faults_told(&faults);
    passo_faults_deinit(&faults);
    return told ? PASSO_EXIT_USAGE : PASSO_EXIT_DONE;
}

enum passo_exit passo_command_show(const struct passo_program_command *self, int argc, char **argv)
{
    struct passo_options options;
    enum passo_exit ended;
    char path[PASSO_PATH_BYTES];
    if (argc == 1 && argv[0][0] != '-' && names_routine(argv[0], path))
        return show_routine(path);
    passo_options_read(&options, TAKES, argc, argv);
    if (options.operand && !options.help && names_routine(options.operand, path))
        refuse_options(&options);
    if (!passo_options_told(&options, TAKES, self, &ended))
        ended = show(&options);
    passo_options_deinit(&options);
    return ended;
}
