/* `passo add`: files passages among the player's own. What is filed is a copy to the byte of a file
 * that has been read without a fault, with the notes that are in a file of their own taken in;
 * `--new` makes the file first (add_new.c). */
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

/* A file on its way. */
struct adding {
    const char *file;
    struct passo_lines lines;
    struct passo_setup setup;
    struct passo_faults faults;
};

/* Tells all that is wrong in a file; true if nothing is. */
static bool checked(struct adding *adding)
{
    passo_lines_add_file(&adding->lines, adding->file, &adding->faults);
    /* What a file that cannot be read may have said is not asked for. */
    passo_setup_resolve(&adding->lines, adding->faults.faults == 0, &adding->setup,
                        &adding->faults);
    return adding->faults.faults == 0;
}

/* The notes that are in a file of their own come along; nothing else is changed. */
static enum passo_exit file_away(struct adding *adding, struct passo_filing *filing)
{
    char path[PASSO_PATH_BYTES];
    char fault[2 * PASSO_PATH_BYTES];
    char *text = passo_file_take_notes_in(adding->file, &adding->lines, &adding->setup,
                                          &filing->length, &adding->faults);
    filing->bytes = text;
    if (passo_faults_told(&adding->faults))
        return PASSO_EXIT_USAGE;
    enum passo_error error =
        text ? passo_file_away(filing, path, fault, sizeof fault)
             : passo_file_away_copy(filing, adding->file, path, fault, sizeof fault);
    if (text && !error)
        puts("Its notes are in the filed passage now, in place of the line notes-from.");
    free(text);
    return add_filed(error, filing->name, path, fault);
}

static enum passo_exit add_file(const char *file, const struct passo_options *options)
{
    char name[PASSO_PATH_BYTES];
    struct adding *adding = passo_xcalloc(1, sizeof *adding);
    struct passo_filing filing = {.name = name, .force = options->force};
    enum passo_exit ended = PASSO_EXIT_USAGE;
    adding->file = file;
    bool good = checked(adding);
    good = add_name(options->name ? options->name : file, !options->name, name, &adding->faults) &&
           good;
    passo_faults_told(&adding->faults);
    if (good)
        ended = file_away(adding, &filing);
    passo_lines_deinit(&adding->lines);
    passo_faults_deinit(&adding->faults);
    free(adding);
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
