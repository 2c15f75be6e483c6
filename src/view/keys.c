/* The key table and its readings. Owns nothing but constant data; the table's order is the order in
 * which the footer gives up entries when the window is narrow (last first), but that a day's own
 * keys come early. What a key does or is called elsewhere than in a climb stands in a list of its
 * own. Clean and miss stand on the keys that page-turner pedals send. Thread: the main thread. */
#include "view/keys.h"

#include <curses.h>
#include <string.h>

#define ESCAPE '\033'

#define AT(place)  (1u << KEYS_##place)
#define EVERYWHERE ((1u << KEY_PLACES) - 1)
#define PLAYED     (AT(CLIMB) | AT(VISIT))                          /* and marked */
#define RESTS      (PLAYED | AT(BLOCK) | AT(BETWEEN) | AT(IN_TURN)) /* between two passes */
#define RUNS       (RESTS | AT(LISTEN) | AT(STEADY))                /* it sounds or rests */
#define OF_A_DAY   (AT(VISIT) | AT(BLOCK) | AT(BETWEEN))
#define HEARD      (AT(LISTEN) | AT(IN_TURN))

static const struct key_row rows[] = {
    {{PASSO_COMMAND_CLEAN, "Space, Enter, Right, Page Down", "clean"},
     "Space",
     "clean",
     PLAYED | AT(BETWEEN) | AT(LISTING),
     {' ', '\n', '\r', KEY_ENTER, KEY_RIGHT, KEY_NPAGE}},
    {{PASSO_COMMAND_MISS, "x, Backspace, Left, Page Up", "miss"},
     "x",
     "miss",
     PLAYED,
     {'x', KEY_BACKSPACE, 127, '\b', KEY_LEFT, KEY_PPAGE}},
    {{PASSO_COMMAND_UNDO, "u", "undo the last mark"}, "u", "undo", PLAYED, {'u'}},
    {{PASSO_COMMAND_PAUSE, "p", "pause, and go on"}, "p", "pause", RUNS, {'p'}},
    {{PASSO_COMMAND_SOONER, "s", "cut the rest short"}, "s", "sooner", RESTS, {'s'}},
    {{PASSO_COMMAND_LONGER, "l", "ten seconds more rest"}, "l", "longer", RESTS, {'l'}},
    {{PASSO_COMMAND_HARDER, "Up", "one rung harder"},
     "Up",
     "faster",
     PLAYED | AT(STEADY),
     {KEY_UP}},
    {{PASSO_COMMAND_EASIER, "Down", "one rung easier"},
     "Down",
     "slower",
     PLAYED | AT(STEADY),
     {KEY_DOWN}},
    {{PASSO_COMMAND_VOID, "v", "not a pass (the phone rang)"}, "v", "void", PLAYED, {'v'}},
    {{PASSO_COMMAND_TURN, "n", "the next loop or variant"},
     "n",
     "next",
     PLAYED | AT(BLOCK) | HEARD,
     {'n'}},
    {{PASSO_COMMAND_EXTEND, "e", "two minutes more"}, "e", "extend", PLAYED | AT(BLOCK), {'e'}},
    {{PASSO_COMMAND_SKIP, "k", "of a day: leave this out"}, "k", "skip", OF_A_DAY, {'k'}},
    {{PASSO_COMMAND_PUT_OFF, "o", "of a day: put off, to its end"},
     "o",
     "put off",
     OF_A_DAY,
     {'o'}},
    {{PASSO_COMMAND_LOUDER, "+", "louder"}, "+", "louder", RUNS, {'+', '='}},
    {{PASSO_COMMAND_SOFTER, "-", "softer"}, "-", "softer", RUNS, {'-', '_'}},
    {{PASSO_COMMAND_HELP, "?", "this help"}, "?", "help", EVERYWHERE, {'?'}},
    {{PASSO_COMMAND_QUIT, "q", "finish"}, "q", "finish", EVERYWHERE, {'q'}},
};
#define ROWS (sizeof rows / sizeof rows[0])
_Static_assert(ROWS <= KEY_ROWS_MAX, "keys_of() fills an array of KEY_ROWS_MAX");

/* Words where a key does something else than in a climb, or its words would say too much. */
static const struct {
    enum passo_command command;
    unsigned places;
    const char *words, *footer_word;
} otherwise[] = {
    {PASSO_COMMAND_HARDER, AT(STEADY), "one beat a minute faster", "faster"},
    {PASSO_COMMAND_EASIER, AT(STEADY), "one beat a minute slower", "slower"},
    {PASSO_COMMAND_CLEAN, AT(BETWEEN), "go on now", "go on"},
    {PASSO_COMMAND_CLEAN, AT(LISTING), "begin", "begin"},
    {PASSO_COMMAND_TURN, AT(BLOCK), "this one is done: the next", "next"},
    {PASSO_COMMAND_TURN, HEARD, "the next key, of several", "next key"},
    {PASSO_COMMAND_SKIP, OF_A_DAY, "leave this out", "skip"},
    {PASSO_COMMAND_PUT_OFF, OF_A_DAY, "put off, to the day's end", "put off"},
    {PASSO_COMMAND_QUIT, AT(LISTING) | AT(END), "leave", "leave"},
    {PASSO_COMMAND_QUIT, OF_A_DAY, "stop; go on later today", "stop"},
};

/* What a day's footer needs before the rest of the table. */
static const enum passo_command day_first[] = {
    PASSO_COMMAND_CLEAN, PASSO_COMMAND_MISS,    PASSO_COMMAND_PAUSE,
    PASSO_COMMAND_SKIP,  PASSO_COMMAND_PUT_OFF, PASSO_COMMAND_SOONER,
};
#define DAY_FIRST (sizeof day_first / sizeof day_first[0])

/* What terminals send for the keys that have no character of their own. */
static const struct {
    const char *bytes;
    int code;
} sequences[] = {
    {"[A", KEY_UP},    {"[B", KEY_DOWN},   {"[C", KEY_RIGHT},  {"[D", KEY_LEFT},
    {"OA", KEY_UP},    {"OB", KEY_DOWN},   {"OC", KEY_RIGHT},  {"OD", KEY_LEFT},
    {"OM", KEY_ENTER}, {"[5~", KEY_PPAGE}, {"[6~", KEY_NPAGE},
};

const struct key_row *keys_rows(size_t *out_count)
{
    *out_count = ROWS;
    return rows;
}

const struct passo_key_help *passo_key_table(size_t *out_count)
{
    static struct passo_key_help table[ROWS];
    for (size_t i = 0; i < ROWS; i++)
        table[i] = rows[i].help;
    *out_count = ROWS;
    return table;
}

enum key_place keys_place(const struct passo_snapshot *snapshot)
{
    const struct passo_day_show *day = snapshot->day;
    if (snapshot->steady)
        return KEYS_STEADY;
    /* The ladder of a snapshot that was shown before may be gone: it is not looked into. */
    if (day == NULL && snapshot->block)
        return snapshot->plays ? KEYS_LISTEN : KEYS_IN_TURN;
    if (day == NULL)
        return KEYS_CLIMB;
    if (day->listing)
        return KEYS_LISTING;
    if (snapshot->ladder == NULL)
        return snapshot->phase == PASSO_PHASE_OVER ? KEYS_END : KEYS_BETWEEN;
    return day->block ? KEYS_BLOCK : KEYS_VISIT;
}

bool keys_of_hear(enum key_place place)
{
    return place == KEYS_LISTEN || place == KEYS_IN_TURN;
}

static bool is_first(enum passo_command command)
{
    for (size_t i = 0; i < DAY_FIRST; i++)
        if (day_first[i] == command)
            return true;
    return false;
}

static struct key_use use_of(const struct key_row *row, enum key_place place)
{
    for (size_t i = 0; i < sizeof otherwise / sizeof otherwise[0]; i++)
        if (otherwise[i].command == row->help.command && (otherwise[i].places >> place & 1))
            return (struct key_use){row, otherwise[i].words, otherwise[i].footer_word};
    return (struct key_use){row, row->help.words, row->footer_word};
}

size_t keys_of(enum key_place place, struct key_use out_use[KEY_ROWS_MAX])
{
    bool day = (OF_A_DAY >> place & 1) != 0;
    size_t count = 0;
    for (size_t first = 0; day && first < DAY_FIRST; first++)
        for (size_t i = 0; i < ROWS; i++)
            if (rows[i].help.command == day_first[first] && (rows[i].uses >> place & 1))
                out_use[count++] = use_of(&rows[i], place);
    for (size_t i = 0; i < ROWS; i++)
        if ((rows[i].uses >> place & 1) && !(day && is_first(rows[i].help.command)))
            out_use[count++] = use_of(&rows[i], place);
    return count;
}

enum passo_command keys_command(int code)
{
    if (code >= 'A' && code <= 'Z')
        code += 'a' - 'A';
    for (size_t i = 0; i < ROWS; i++)
        for (size_t k = 0; k < KEY_CODES_MAX && rows[i].code[k] != 0; k++)
            if (rows[i].code[k] == code)
                return rows[i].help.command;
    return PASSO_COMMAND_NONE;
}

/* Length of the sequence after ESC: "[" parameters and a final byte, or "O" and one byte; 0 while
 * its end has not come. */
static size_t sequence_length(const char *bytes, size_t count)
{
    if (count < 2)
        return 0;
    if (bytes[0] == 'O')
        return 2;
    for (size_t i = 1; i < count; i++)
        if (bytes[i] < 0x20 || bytes[i] > 0x3f)
            return i + 1;
    return 0;
}

size_t keys_read(const char *bytes, size_t count, int *out_code)
{
    *out_code = (unsigned char)bytes[0];
    if (bytes[0] != ESCAPE)
        return 1;
    *out_code = 0;
    if (count < 2)
        return 0;
    if (bytes[1] != '[' && bytes[1] != 'O')
        return 1;
    size_t length = sequence_length(bytes + 1, count - 1);
    for (size_t i = 0; i < sizeof sequences / sizeof sequences[0]; i++)
        if (length == strlen(sequences[i].bytes) &&
            memcmp(bytes + 1, sequences[i].bytes, length) == 0)
            *out_code = sequences[i].code;
    return length > 0 ? length + 1 : 0;
}
