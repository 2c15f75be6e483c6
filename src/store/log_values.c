/* The numbers of the enums stand in the file for ever: a new enumerator comes behind the others, or
 * what is in the file is turned by a step of the schema. This file does not compile otherwise. */
#include "store/log_priv.h"

_Static_assert(PASSO_MARK_NONE == 0 && PASSO_MARK_CLEAN == 1 && PASSO_MARK_MISS == 2 &&
                   PASSO_MARK_VOID == 3,
               "marks are kept by number");
_Static_assert(PASSO_PART_COLD == 0 && PASSO_PART_CLIMB == 1 && PASSO_PART_ANCHOR == 2 &&
                   PASSO_PART_OVER == 3 && PASSO_PART_CLOSE == 4 && PASSO_PART_CONTEXT == 5 &&
                   PASSO_PART_EASY == 6 && PASSO_EXTRA_VISIT == 1 && PASSO_EXTRA_CHECK == 2,
               "parts are kept by number");
_Static_assert(PASSO_MOVE_NONE == 0 && PASSO_MOVE_RAISED == 1 && PASSO_MOVE_DROPPED == 2 &&
                   PASSO_MOVE_HELD == 3 && PASSO_MOVE_WON == 4 && PASSO_MOVE_PLATEAU == 5 &&
                   PASSO_MOVE_TIRED == 6 && PASSO_MOVE_STOPPED == 7 && PASSO_MOVE_EASIER == 8 &&
                   PASSO_MOVE_HARDER == 9,
               "moves are kept by number");
_Static_assert(PASSO_LADDER_PASS == 0 && PASSO_LADDER_EASIER == 1 && PASSO_LADDER_HARDER == 2 &&
                   PASSO_LADDER_TURN == 3 && PASSO_LADDER_QUIT == 4 && PASSO_LADDER_EXTEND == 5,
               "hands are kept by number");
_Static_assert(PASSO_OUTCOME_OPEN == 0 && PASSO_OUTCOME_WON == 1 && PASSO_OUTCOME_PLATEAU == 2 &&
                   PASSO_OUTCOME_EDGE == 3 && PASSO_OUTCOME_TIRED == 4 && PASSO_OUTCOME_TIME == 5 &&
                   PASSO_OUTCOME_PASSES == 6 && PASSO_OUTCOME_MISSES == 7 &&
                   PASSO_OUTCOME_QUIT == 8 && PASSO_OUTCOME_DONE == 9,
               "outcomes are kept by number");
_Static_assert(PASSO_LOG_MARKED == 0 && PASSO_LOG_TAKEN_BACK == 1 && PASSO_LOG_CLOSED == 2 &&
                   PASSO_LOG_CHANGED == 3,
               "changes are kept by number");
