/* `passo add`: files passages among the player's own. What is filed is a copy to the byte of a file
 * that has been read without a fault; `--new` makes the file first (add_new.c). */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include "command/add.h"
#include "command/options.h"
#include "text/notation.h"

enum { TAKES = PASSO_TAKES_SETUP | PASSO_TAKES_WORDS | PASSO_TAKES_FILING };

#define SUFFIX ".passo"

/* The file's own name without its folder, or what was asked for; both without ".passo". */
static void name_of(const char *text, bool is_path, char out[PASSO_PATH_BYTES])
{
    const char *slash = is_path ? strrchr(text, '/') : NULL;
    snprintf(out, PASSO_PATH_BYTES, "%s", slash ? slash + 1 : text);
    size_t length = strlen(out);
    size_t suffix = sizeof SUFFIX - 1;
    if (length > suffix && !strcmp(out + length - suffix, SUFFIX))
        out[length - suffix] = '\0';
}

bool add_name(const char *text, bool is_path, char out[PASSO_PATH_BYTES],
              struct passo_faults *faults)
{
    char shown[128];
    name_of(text, is_path, out);
    const char *fault = passo_filed_name_fault(out);
    if (fault)
        passo_fault(faults, "%s: %s", *text ? passo_text_clean(text, shown, sizeof shown) : "\"\"",
                    fault);
    return !fault;
}

/* A name as one types it into a shell. */
static void print_typed(const char *name)
{
    static const char plain[] =
        "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789-_.,+%@:";
    if (!name[strspn(name, plain)]) {
        fputs(name, stdout);
        return;
    }
    putchar('\'');
    for (; *name; name++)
        if (*name == '\'')
            fputs("'\\''", stdout);
        else
            putchar(*name);
    putchar('\'');
}

enum passo_exit add_filed(enum passo_error error, const char *name, const char *path,
                          const char *fault)
{
    char shown[PASSO_PATH_BYTES];
    if (error) {
        passo_tell(fault);
        return error == PASSO_ERR_EXISTS ? PASSO_EXIT_USAGE : PASSO_EXIT_MACHINE;
    }
    printf("Filed as %s: %s\nTo play it: passo climb ", name,
           passo_text_clean(path, shown, sizeof shown));
    print_typed(name);
    putchar('\n');
    return PASSO_EXIT_DONE;
}

/* Tells all that is wrong in a file; true if nothing is. */
static bool checked(const char *path, struct passo_faults *faults)
{
    struct passo_lines lines = {0};
    struct passo_setup *setup = passo_xcalloc(1, sizeof *setup);
    size_t before = faults->faults;
    passo_lines_add_file(&lines, path, faults);
    /* What a file that cannot be read may have said is not asked for. */
    passo_setup_resolve(&lines, faults->faults == before, setup, faults);
    passo_lines_deinit(&lines);
    free(setup);
    return faults->faults == before;
}

static enum passo_exit add_file(const char *file, const struct passo_options *options)
{
    char name[PASSO_PATH_BYTES];
    char path[PASSO_PATH_BYTES];
    char fault[2 * PASSO_PATH_BYTES];
    struct passo_faults faults = {0};
    struct passo_filing filing = {.name = name, .force = options->force};
    enum passo_exit ended = PASSO_EXIT_USAGE;
    bool good = checked(file, &faults);
    good = add_name(options->name ? options->name : file, !options->name, name, &faults) && good;
    passo_faults_told(&faults);
    if (good)
        ended = add_filed(passo_file_away_copy(&filing, file, path, fault, sizeof fault), name,
                          path, fault);
    passo_faults_deinit(&faults);
    return ended;
}

static void check_usage(struct passo_options *options)
{
    const struct passo_lines *lines = &options->lines;
    if (options->new_name && (options->words || options->name))
        passo_fault(&options->faults, "--new NAME makes a passage of that name; it goes with no %s",
                    options->words ? "file" : "--name");
    else if (!options->new_name && !options->words && !options->faults.faults)
        passo_fault(&options->faults,
                    "say which file to add, or --new NAME to be asked for a passage");
    else if (options->name && options->words > 1)
        passo_fault(&options->faults, "--name goes with one file");
    else if (!options->new_name && lines->lines)
        passo_fault(&options->faults, "%s goes with --new NAME; a file is filed as it is",
                    lines->line[lines->lines - 1].origin);
}

enum passo_exit passo_command_add(const struct passo_program_command *self, int argc, char **argv)
{
    struct passo_options options;
    enum passo_exit ended;
    passo_options_read(&options, TAKES, argc, argv);
    if (!passo_options_told(&options, TAKES, self, &ended)) {
        ended = PASSO_EXIT_USAGE;
        check_usage(&options);
        if (options.new_name && !options.faults.faults)
            ended = add_new(&options);
        else if (!passo_faults_told(&options.faults))
            ended = PASSO_EXIT_DONE;
        /* Each file on its own; what hinders one need not hinder the next. */
        for (size_t i = 0; !options.faults.faults && i < options.words; i++) {
            enum passo_exit one = add_file(options.word[i], &options);
            ended = one > ended ? one : ended;
        }
    }
    passo_options_deinit(&options);
    return ended;
}
