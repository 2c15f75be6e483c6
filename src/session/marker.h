/* Markers: who marks the passes when no hand does. A script of marks (--marks), or the simulated
 * player of `passo demo`. Thread: the main thread. */
#ifndef PASSO_SESSION_MARKER_H
#define PASSO_SESSION_MARKER_H

#include <passo/error.h>
#include <passo/ladder.h>
#include <passo/player_model.h>
#include <stdbool.h>

enum passo_script_sign {
    PASSO_SIGN_END, /* nothing more: the climb ends */
    PASSO_SIGN_MARK,
    PASSO_SIGN_UNDO
};

/* One interface, two kinds. */
struct passo_marker {
    /* Script: one character a pass, `u` between them. */
    char *script; /* owned; NULL: the simulated player */
    size_t at;
    /* Simulated player. */
    struct passo_player_model model;
    struct passo_random random;
};

/* Reads a script from `path` ("-": standard input), whole: c clean, m miss, . unmarked, v void, u
 * undo; blanks and line ends are skipped. Any other character is PASSO_ERR_SYNTAX with its line
 * and column; an unreadable file is PASSO_ERR_FILE. An empty script is fine: the climb ends at
 * once. Free with passo_marker_deinit(). */
PASSO_MUST_CHECK enum passo_error passo_marker_script(struct passo_marker *out_marker,
                                                      const char *path, char *out_fault,
                                                      size_t fault_bytes);
void passo_marker_deinit(struct passo_marker *marker);
/* What comes next, without taking it. */
enum passo_script_sign passo_marker_peek(const struct passo_marker *marker);
/* Takes the next sign: of a MARK, how a pass at this tempo went. */
enum passo_mark passo_marker_take(struct passo_marker *marker, int32_t mbpm);

#endif
