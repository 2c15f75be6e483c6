/* Gives the terminal back, whatever happens: on close, exit, a crash, and while the program is
 * stopped. One terminal at a time. Thread: the main thread; the handlers run anywhere. */
#ifndef PASSO_VIEW_TERMINAL_H
#define PASSO_VIEW_TERMINAL_H

#include <stdbool.h>
#include <stddef.h>

/* Remembers the modes of the terminal on fd `modes`, and from now on gives it back on exit and on a
 * crash. Watches for stop (Ctrl-Z) and continue. */
void terminal_take(int modes);
/* The bytes that undo what a view did to the screen on fd `out`, written when the program ends
 * without terminal_release(). */
void terminal_undo(int out, const char *bytes, size_t count);
/* Single characters, no echo; Ctrl-C and Ctrl-Z still are signals. */
void terminal_single_keys(void);
/* Sets the remembered modes again and stops watching. The screen itself must be in order. */
void terminal_release(void);
/* True once after the player asked to stop the program (SIGTSTP). */
bool terminal_stop_asked(void);
/* Sets the remembered modes, stops the program, returns when it is continued. */
void terminal_stop(void);
/* True once after the program was continued by someone else's SIGCONT. */
bool terminal_continued(void);

#endif
