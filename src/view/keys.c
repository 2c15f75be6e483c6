/* The key table and its readings. Owns nothing but constant data; the table's order is the order in
 * which the footer gives up entries when the window is narrow (last first). Clean and miss stand on
 * the keys that page-turner pedals send. Thread: the main thread. */
#include "view/keys.h"

#include <curses.h>
#include <string.h>

#define ESCAPE '\033'

static const struct key_row rows[] = {
    {{PASSO_COMMAND_CLEAN, "Space, Enter, Right, Page Down", "clean"},
     NULL,
     "Space",
     "clean",
     {' ', '\n', '\r', KEY_ENTER, KEY_RIGHT, KEY_NPAGE}},
    {{PASSO_COMMAND_MISS, "x, Backspace, Left, Page Up", "miss"},
     NULL,
     "x",
     "miss",
     {'x', KEY_BACKSPACE, 127, '\b', KEY_LEFT, KEY_PPAGE}},
    {{PASSO_COMMAND_UNDO, "u", "undo the last mark"}, NULL, "u", "undo", {'u'}},
    {{PASSO_COMMAND_PAUSE, "p", "pause, and go on"}, "pause, and go on", "p", "pause", {'p'}},
    {{PASSO_COMMAND_SOONER, "s", "cut the rest short"}, NULL, "s", "sooner", {'s'}},
    {{PASSO_COMMAND_LONGER, "l", "ten seconds more rest"}, NULL, "l", "longer", {'l'}},
    {{PASSO_COMMAND_HARDER, "Up", "one rung harder"},
     "one beat a minute faster",
     "Up",
     "faster",
     {KEY_UP}},
    {{PASSO_COMMAND_EASIER, "Down", "one rung easier"},
     "one beat a minute slower",
     "Down",
     "slower",
     {KEY_DOWN}},
    {{PASSO_COMMAND_VOID, "v", "not a pass (the phone rang)"}, NULL, "v", "void", {'v'}},
    {{PASSO_COMMAND_TURN, "n", "the next loop or variant"}, NULL, "n", "next", {'n'}},
    {{PASSO_COMMAND_LOUDER, "+", "louder"}, "louder", "+", "louder", {'+', '='}},
    {{PASSO_COMMAND_SOFTER, "-", "softer"}, "softer", "-", "softer", {'-', '_'}},
    {{PASSO_COMMAND_HELP, "?", "this help"}, "this help", "?", "help", {'?'}},
    {{PASSO_COMMAND_QUIT, "q", "finish"}, "finish", "q", "finish", {'q'}},
};
#define ROWS (sizeof rows / sizeof rows[0])

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
