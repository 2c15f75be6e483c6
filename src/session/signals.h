/* Signals only set flags; they are blocked but while a view waits, so no flag is missed. Thread:
 * the main thread; threads made later inherit the block. */
#ifndef PASSO_SESSION_SIGNALS_H
#define PASSO_SESSION_SIGNALS_H

#include <stdbool.h>
#include <stdint.h>

/* Blocks and handles SIGINT, SIGTERM, SIGHUP, SIGWINCH; ignores SIGPIPE. Call before any thread. */
void passo_signals_init(void);
/* Waits until fd (-1: none) is readable, a signal comes or timeout_ns has passed. Returns true if
 * fd is readable (or was hung up). */
bool passo_signals_wait(int fd, int64_t timeout_ns);
/* The signal that asks to end (SIGINT, SIGTERM, SIGHUP), or 0. Stays set. */
int passo_signals_ending(void);
/* True once after each SIGWINCH. */
bool passo_signals_resized(void);

#endif
