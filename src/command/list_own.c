/* The table of the player's own passages: where each stands and whether it is due. What does not
 * fit the page goes in this order: the title, long names (to lines of their own), passes, minutes.
 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include "command/columns.h"
#include "command/list_parts.h"
#include "store/day.h"
#include "text/notation.h"

enum column { NAME, TARGET, WON, SECURE, PASSES, MIN, LAST, TITLE, COLUMNS };
enum { NAME_MOST = 24, NAME_LEAST = 8, TITLE_LEAST = 10, CELL_BYTES = PASSO_TEXT_MAX };

static const char *const head[COLUMNS] = {"NAME",   "TARGET", "WON",  "SECURE",
                                          "PASSES", "MIN",    "LAST", "TITLE"};
static const bool right[COLUMNS] = {[WON] = true, [SECURE] = true, [PASSES] = true, [MIN] = true};

struct own_row {
    const struct list_passage *passage;
    char cell[COLUMNS][CELL_BYTES]; /* all but name and title */
};

/* "today", "yesterday", "4 days ago", "12 Oct" */
static void last_words(int32_t day, int32_t today, char *out, size_t bytes)
{
    static const char *const months[] = {"Jan", "Feb", "Mar", "Apr", "May", "Jun",
                                         "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"};
    int64_t ago = passo_day_count(today) - passo_day_count(day);
    const char *month = months[day / 100 % 100 - 1];
    if (ago == 0)
        snprintf(out, bytes, "today");
    else if (ago == 1)
        snprintf(out, bytes, "yesterday");
    else if (ago > 1 && ago < 14)
        snprintf(out, bytes, "%d days ago", (int)ago);
    else if (day / 10000 == today / 10000)
        snprintf(out, bytes, "%d %s", day % 100, month);
    else
        snprintf(out, bytes, "%d %s %d", day % 100, month, day / 10000);
}

static void fill(struct own_row *row, const struct list_passage *passage,
                 const struct list_practice *practice, int32_t today)
{
    row->passage = passage;
    strcpy(row->cell[TARGET], passage->target);
    for (int column = WON; column <= LAST; column++)
        strcpy(row->cell[column], practice ? "-" : "?");
    if (!practice)
        return;
    if (practice->passes == 0) {
        strcpy(row->cell[LAST], "not yet, due");
        return;
    }
    if (practice->best_mbpm)
        passo_bpm_write((practice->best_mbpm + 50) / 100 * 100, row->cell[WON], CELL_BYTES);
    strcpy(row->cell[SECURE], practice->secure);
    snprintf(row->cell[PASSES], CELL_BYTES, "%u", practice->passes);
    snprintf(row->cell[MIN], CELL_BYTES, "%lld",
             (long long)((practice->play_ns + 30000000000) / 60000000000));
    last_words(practice->last_day, today, row->cell[LAST], CELL_BYTES - 8);
    if (practice->due)
        strcat(row->cell[LAST], ", due");
}

static int total(const int width[COLUMNS])
{
    int sum = LIST_MARGIN;
    for (int column = NAME; column < TITLE; column++)
        sum += width[column] ? width[column] + LIST_GAP : 0;
    return sum - LIST_GAP;
}

/* The widest name that is not over `most`. */
static int name_width(const struct own_row *row, size_t rows, int most)
{
    int width = (int)strlen(head[NAME]);
    for (size_t i = 0; i < rows; i++) {
        int columns = columns_of(row[i].passage->name);
        if (columns <= most && columns > width)
            width = columns;
    }
    return width;
}

static void measure(const struct own_row *row, size_t rows, int out_width[COLUMNS])
{
    static const enum column spare[] = {PASSES, MIN};
    for (int column = TARGET; column < TITLE; column++) {
        out_width[column] = (int)strlen(head[column]);
        for (size_t i = 0; i < rows; i++) {
            int columns = columns_of(row[i].cell[column]);
            out_width[column] = columns > out_width[column] ? columns : out_width[column];
        }
    }
    out_width[NAME] = name_width(row, rows, NAME_MOST);
    for (int most = NAME_MOST; total(out_width) > LIST_PAGE && most >= NAME_LEAST; most--)
        out_width[NAME] = name_width(row, rows, most);
    for (size_t i = 0; i < sizeof spare / sizeof spare[0] && total(out_width) > LIST_PAGE; i++)
        out_width[spare[i]] = 0;
    while (total(out_width) > LIST_PAGE)
        out_width[TARGET]--;
    int left = LIST_PAGE - total(out_width) - LIST_GAP;
    out_width[TITLE] = left >= TITLE_LEAST ? left : 0;
}

static void print_cell(const char *text, int width, bool to_right, bool last)
{
    int columns = columns_of(text);
    if (to_right && columns < width)
        printf("%*s", width - columns, "");
    columns_print(text, width, to_right || last ? 0 : width);
    if (!last)
        printf("%*s", LIST_GAP, "");
}

static void print_cells(const struct own_row *row, const int width[COLUMNS])
{
    enum column last = width[TITLE] && (!row || row->passage->title[0]) ? TITLE : LAST;
    for (enum column column = row ? TARGET : NAME; column <= last; column++) {
        const char *text = !row              ? head[column]
                           : column == TITLE ? row->passage->title
                                             : row->cell[column];
        if (width[column])
            print_cell(text, width[column], right[column], column == last);
    }
    putchar('\n');
}

static void print_row(const struct own_row *row, const int width[COLUMNS])
{
    int at = LIST_MARGIN + width[NAME] + LIST_GAP;
    printf("%*s", LIST_MARGIN, "");
    columns_print(row->passage->name, LIST_PAGE - LIST_MARGIN, width[NAME] + LIST_GAP);
    if (columns_of(row->passage->name) > width[NAME])
        printf("\n%*s", at, "");
    if (row->passage->fault[0]) {
        columns_print(row->passage->fault, LIST_PAGE - at, 0);
        putchar('\n');
    } else {
        print_cells(row, width);
    }
}

void list_own_print(const struct list_passage *passage, const struct list_practice *practice,
                    size_t passages, int32_t today)
{
    struct own_row *row = passo_xcalloc(passages + 1, sizeof *row);
    int width[COLUMNS] = {0};
    size_t rows = 0;
    for (size_t i = 0; i < passages; i++) {
        if (!passage[i].own)
            continue;
        if (!passage[i].fault[0])
            fill(&row[rows], &passage[i], practice ? &practice[i] : NULL, today);
        row[rows++].passage = &passage[i];
    }
    measure(row, rows, width);
    printf("Your own passages:\n%*s", LIST_MARGIN, "");
    print_cells(NULL, width);
    for (size_t i = 0; i < rows; i++)
        print_row(&row[i], width);
    free(row);
}
