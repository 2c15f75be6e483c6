/* `passo list`: the player's own passages and those that ship, the presets, the routines, the click
 * sets. */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include "command/columns.h"
#include "command/list_parts.h"
#include "session/words.h"
#include "text/notation.h"
#include "text/routine.h"

enum { TAKES = PASSO_TAKES_WORDS | PASSO_TAKES_LOG | PASSO_TAKES_RECORD };

/* The columns of the shipped passages; the last takes what is left of the page. */
enum column { NAME, BARS, METER, TARGET, TITLE, COLUMNS };
static const char *const head[COLUMNS] = {"NAME", "BARS", "METER", "TARGET", "TITLE"};
/* At most so wide; a longer name has a line of its own. */
static const int widest[COLUMNS] = {24, 12, 14, 26, 0};

/* A file's fault in a few words: without the file's name, which stands before it. */
static const char *few_words(const char *fault, const char *path)
{
    char shown[PASSO_PATH_BYTES];
    size_t length = strlen(passo_text_clean(path, shown, sizeof shown));
    if (strncmp(fault, shown, length) != 0)
        return fault;
    fault += length;
    return fault + strspn(fault, ",: ");
}

static void fill_cells(struct list_passage *row, const struct passo_setup *setup)
{
    const struct passo_passage *passage = &setup->passage;
    passo_words_bars(passage, &passage->loop[0], row->bars, sizeof row->bars);
    passo_meter_write(&passage->meter, row->meter, sizeof row->meter);
    strcpy(row->target, "-");
    row->target_mbpm = setup->rule.target_mbpm;
    row->beat = passage->beat;
    if (row->target_mbpm)
        passo_tempo_write(row->target_mbpm, row->beat, row->target, sizeof row->target);
    strcpy(row->title, passage->title);
    strcpy(row->piece, passage->piece);
}

static void fill_row(struct list_passage *row, char *name)
{
    char path[PASSO_PATH_BYTES];
    struct passo_lines lines = {0};
    struct passo_faults faults = {0};
    struct passo_setup *setup = passo_xcalloc(1, sizeof *setup);
    bool found = passo_find("passages", name, path);
    row->name = name;
    /* A name that leads nowhere (a link to a file that is gone) is in the player's own folder. */
    row->own = !found || passo_find_is_own("passages", path);
    passo_lines_add_file(&lines, found ? path : name, &faults);
    passo_setup_resolve(&lines, false, setup, &faults);
    passo_filed_title(setup, name);
    if (faults.faults)
        passo_text_clean(few_words(faults.fault[0], found ? path : name), row->fault,
                         sizeof row->fault);
    else
        fill_cells(row, setup);
    passo_faults_deinit(&faults);
    passo_lines_deinit(&lines);
    free(setup);
}

static const char *cell(const struct list_passage *row, enum column column)
{
    const char *const cells[COLUMNS] = {row->name, row->bars, row->meter, row->target, row->title};
    return cells[column];
}

/* A name that is too long has a line of its own and widens no column; other cells are cut. */
static int wider(int width, const char *text, enum column column)
{
    int columns = columns_of(text);
    if (columns > widest[column])
        columns = column == NAME ? 0 : widest[column];
    return columns > width ? columns : width;
}

static void measure(const struct list_passage *row, size_t rows, int out_width[COLUMNS])
{
    for (int column = NAME; column < TITLE; column++) {
        out_width[column] = columns_of(head[column]);
        for (size_t i = 0; i < rows; i++) {
            if (!row[i].own)
                out_width[column] = wider(out_width[column], cell(&row[i], (enum column)column),
                                          (enum column)column);
        }
    }
}

static void print_row(const struct list_passage *row, const int width[COLUMNS])
{
    int at = LIST_MARGIN + width[NAME] + LIST_GAP;
    printf("%*s", LIST_MARGIN, "");
    columns_print(row->name, LIST_PAGE - LIST_MARGIN, width[NAME] + LIST_GAP);
    if (columns_of(row->name) > width[NAME])
        printf("\n%*s", at, "");
    if (row->fault[0])
        columns_print(row->fault, LIST_PAGE - at, 0);
    for (int column = BARS; !row->fault[0] && column < TITLE; column++) {
        columns_print(cell(row, (enum column)column), width[column], width[column] + LIST_GAP);
        at += width[column] + LIST_GAP;
    }
    if (!row->fault[0])
        columns_print(row->title, LIST_PAGE - at, 0);
    putchar('\n');
}

static void print_shipped(const struct list_passage *row, size_t rows)
{
    int width[COLUMNS];
    bool any = false;
    measure(row, rows, width);
    for (size_t i = 0; i < rows; i++) {
        if (row[i].own)
            continue;
        if (!any) {
            printf("Shipped with passo:\n%*s", LIST_MARGIN, "");
            for (int column = NAME; column < TITLE; column++)
                printf("%-*s", width[column] + LIST_GAP, head[column]);
            printf("%s\n", head[TITLE]);
        }
        any = true;
        print_row(&row[i], width);
    }
}

static void list_passages(const struct passo_options *options)
{
    char **name;
    size_t names = passo_find_all("passages", &name);
    struct list_passage *row = passo_xcalloc(names + 1, sizeof *row);
    struct list_practice *practice = passo_xcalloc(names + 1, sizeof *practice);
    size_t own = 0;
    for (size_t i = 0; i < names; i++) {
        fill_row(&row[i], name[i]);
        own += row[i].own;
    }
    if (own) {
        bool known = list_practice_read(options, row, names, practice);
        list_own_print(row, known ? practice : NULL, names, options->lines.today_yyyymmdd);
        putchar('\n');
    } else {
        printf("No passage of your own is filed yet. To begin: passo add --new NAME\n%s",
               names ? "\n" : "");
    }
    print_shipped(row, names);
    for (size_t i = 0; i < names; i++)
        free(name[i]);
    free(practice);
    free(row);
    free(name);
}

/* What a routine's first line says of it, or why it cannot be read. */
static void routine_words(const char *path, char *out, size_t bytes)
{
    struct passo_faults faults = {0};
    struct passo_routine_file *file = passo_xcalloc(1, sizeof *file);
    passo_routine_read(path, file, &faults);
    passo_text_clean(faults.faults ? few_words(faults.fault[0], path) : file->summary, out, bytes);
    passo_routine_deinit(file);
    passo_faults_deinit(&faults);
    free(file);
}

static void words_of(const char *kind, const char *name, char *out, size_t bytes)
{
    static const char note[] = " (your own)";
    char path[PASSO_PATH_BYTES];
    bool found = passo_find(kind, name, path);
    bool own = found && passo_find_is_own(kind, path);
    if (!strcmp(kind, "sounds"))
        snprintf(out, bytes, "%s", own ? "your own." : "shipped with passo.");
    else if (strcmp(kind, "routines") != 0)
        passo_preset_summary(name, out, bytes - sizeof note);
    else
        routine_words(found ? path : name, out, bytes - sizeof note);
    if (strcmp(kind, "sounds") != 0 && own)
        strcat(out, note);
}

/* Names with a few words behind each. */
static void list_words(const char *kind)
{
    char **name;
    char words[256];
    char shown[128];
    size_t names = passo_find_all(kind, &name);
    if (!strcmp(kind, "sounds"))
        passo_print_folded("built in", "what sounds if nothing is said.");
    for (size_t i = 0; i < names; i++) {
        words_of(kind, name[i], words, sizeof words);
        passo_print_folded(passo_text_clean(name[i], shown, sizeof shown), words);
        free(name[i]);
    }
    free(name);
    if (!strcmp(kind, "routines"))
        printf("\nTo see one, block by block: passo show NAME\n");
    else
        printf("\nTo use one: passo climb --%s NAME\n",
               strcmp(kind, "sounds") ? "preset" : "sounds");
}

static bool is_kind(const char *kind)
{
    static const char *const kinds[] = {"passages", "presets", "routines", "sounds"};
    for (size_t i = 0; i < sizeof kinds / sizeof *kinds; i++)
        if (!strcmp(kind, kinds[i]))
            return true;
    return false;
}

enum passo_exit passo_command_list(const struct passo_program_command *self, int argc, char **argv)
{
    struct passo_options options;
    enum passo_exit ended;
    char shown[64];
    passo_options_read(&options, TAKES, argc, argv);
    const char *kind = options.words ? options.word[0] : "passages";
    if (!is_kind(kind))
        passo_fault(&options.faults,
                    "%s: what is this? passo list, passo list presets, routines or sounds",
                    passo_text_clean(kind, shown, sizeof shown));
    else if (options.words > 1)
        passo_fault(&options.faults, "%s: one list at a time",
                    passo_text_clean(options.word[1], shown, sizeof shown));
    if (!passo_options_told(&options, TAKES, self, &ended)) {
        if (!strcmp(kind, "passages"))
            list_passages(&options);
        else
            list_words(kind);
        ended = PASSO_EXIT_DONE;
    }
    passo_options_deinit(&options);
    return ended;
}
