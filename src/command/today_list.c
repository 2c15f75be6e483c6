/* `passo today --list`: the day on paper. Keys of a block that follow one another stand in one
 * line. Runs on the main thread. */
#include <math.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include "command/columns.h"
#include "command/dates.h"
#include "command/today_parts.h"
#include "text/notation.h"

enum { PAGE = 80, AT_COLUMN = 7, LONG_COLUMN = 13, INDENT = 2 };

/* Prints words folded behind a left margin; the first line is begun already. */
static void print_folded(const char *words, int margin, int column)
{
    bool begun = false; /* this line has a word */
    while (*words) {
        char word[PASSO_WORDS_BYTES];
        size_t length = strcspn(words, " ");
        snprintf(word, sizeof word, "%.*s", (int)length, words);
        const int columns = columns_of(word);
        if (begun && column + 1 + columns > PAGE) {
            printf("\n%*s", margin, "");
            column = margin;
        } else if (begun) {
            putchar(' ');
            column++;
        }
        begun = true;
        columns_print(word, PAGE, 0);
        column += columns;
        words += length + (words[length] == ' ');
    }
    putchar('\n');
}

/* "  12:30  1 min 40 s   " */
static int print_time(int64_t at_ms, int64_t ms, int indent)
{
    char time[32];
    char at[16];
    const int64_t seconds = (at_ms + 500) / 1000;
    snprintf(at, sizeof at, "%d:%02d", (int)(seconds / 60), (int)(seconds % 60));
    passo_span_write(ms, time, sizeof time);
    printf("%*s  %-*s%*s", AT_COLUMN, at, LONG_COLUMN, time, indent, "");
    return AT_COLUMN + 2 + LONG_COLUMN + indent;
}

static bool same_state(const struct passo_day_item *a, const struct passo_day_item *b)
{
    return a->over == b->over && a->skipped == b->skipped && a->put_off == b->put_off;
}

/* What became of it already today. */
static const char *state_words(const struct passo_day_item *item)
{
    if (item->over)
        return item->skipped ? " (left out)" : " (done)";
    return item->put_off ? " (put off to the end)" : "";
}

/* A block, or as many of its keys as follow one another and went alike; returns how many items. */
static size_t print_block(const struct today *today, size_t at, int64_t at_ms, int64_t *out_ms)
{
    const struct passo_today *plan = &today->plan;
    const struct passo_today_item *first = &plan->item[at];
    char words[4 * PASSO_WORDS_BYTES];
    char key[PASSO_NAME_MAX];
    size_t items = 0;
    size_t used =
        (size_t)snprintf(words, sizeof words, "%s", today->file.routine.block[first->block].name);
    *out_ms = 0;
    do {
        if (first->keyed)
            used += (size_t)snprintf(words + used, sizeof words - used, "%s %s", items ? "," : ":",
                                     passo_key_write(plan->item[at + items].key, key, sizeof key));
        *out_ms += plan->item[at + items++].ms;
    } while (at + items < plan->items && plan->item[at + items].kind == PASSO_ITEM_BLOCK &&
             plan->item[at + items].block == first->block &&
             same_state(&today->shown[at], &today->shown[at + items]) && used + 64 < sizeof words);
    used +=
        (size_t)snprintf(words + used, sizeof words - used, "%s", state_words(&today->shown[at]));
    const char *caption = today->file.block[first->block].caption;
    if (first->number <= 1 && caption[0])
        snprintf(words + used, sizeof words - used, " · %s", caption);
    const int column = print_time(at_ms, *out_ms, 0);
    print_folded(words, column, column);
    return items;
}

static void print_visit(const struct today *today, size_t at, int64_t at_ms)
{
    char words[3 * PASSO_WORDS_BYTES];
    const struct today_item *item = &today->item[at];
    snprintf(words, sizeof words, "visit: %s%s · %s", item->line, state_words(&today->shown[at]),
             item->why);
    const int column = print_time(at_ms, today->plan.item[at].ms, INDENT);
    print_folded(words, column, column);
}

static void print_items(const struct today *today)
{
    int64_t at_ms = 0;
    for (size_t i = 0; i < today->plan.items;) {
        int64_t ms = today->plan.item[i].ms;
        if (today->plan.item[i].kind == PASSO_ITEM_BLOCK) {
            i += print_block(today, i, at_ms, &ms);
        } else {
            print_visit(today, i, at_ms);
            i++;
        }
        at_ms += ms;
    }
}

/* The passages from the lowest level up. */
static size_t lowest_left(const struct today *today, const bool *printed)
{
    size_t lowest = SIZE_MAX;
    for (size_t i = 0; i < today->spots.count; i++)
        if (!printed[i] && (lowest == SIZE_MAX || today->spots.at[i].practice.level <
                                                      today->spots.at[lowest].practice.level))
            lowest = i;
    return lowest;
}

static void print_parts(const struct today *today)
{
    bool *printed = passo_xcalloc(today->spots.count + 1, sizeof *printed);
    char why[2 * PASSO_WORDS_BYTES];
    char words[4 * PASSO_WORDS_BYTES];
    char time[32];
    char level[64] = "";
    if (isfinite(today->plan.level))
        snprintf(level, sizeof level, " Today that is about %ld %%.",
                 lround(100 * exp(today->plan.level)));
    snprintf(words, sizeof words,
             "The minutes go where the level is lowest, so that all come to the same; a minute is "
             "expected to add what the log shows for a passage, and half a per cent where it shows "
             "little. Level: the tempo at which four of five passes are clean, over the target.%s",
             level);
    putchar('\n');
    print_folded(words, 0, 0);
    putchar('\n');
    for (size_t left = today->spots.count; left > 0; left--) {
        const size_t i = lowest_left(today, printed);
        const struct passo_today_part *part = &today->plan.part[i];
        printed[i] = true;
        snprintf(words, sizeof words, "%s: %s", today->spots.at[i].title,
                 today_part_why(today, i, why, sizeof why));
        passo_span_write(part->ms, time, sizeof time);
        printf("  %-*s", LONG_COLUMN, part->ms ? time : "-");
        print_folded(words, LONG_COLUMN + 4, LONG_COLUMN + 2);
    }
    free(printed);
}

void today_list_print(const struct today *today)
{
    char day[40];
    char blocks[32];
    char visits[32];
    passo_span_write(today->plan.blocks_ms, blocks, sizeof blocks);
    passo_span_write(today->plan.visits_ms, visits, sizeof visits);
    printf("%s, %s: %s of blocks, %s of visits.\n\n", today->file.title,
           passo_date_words(today->day, 0, day, sizeof day), blocks, visits);
    print_items(today);
    if (today->file.rests)
        printf(
            "\nAfter fifteen minutes of playing five minutes off are offered; they come on top.\n");
    if (today->spots.count == 0 && today->only)
        printf("\nNo passage is set in, as you say.\n");
    else if (today->spots.count == 0)
        printf(
            "\nNo passage is set in: none of your own is filed. To begin: passo add --new NAME\n");
    else
        print_parts(today);
    if (today->plan.same_order && today->plan.visits_ms)
        printf("\nThe visits stand as on the last day: there is no other order for them.\n");
}
