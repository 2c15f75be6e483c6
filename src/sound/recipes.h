/* The recipes of the built-in sounds and their synthesis: a private part of the kit. Thread:
 * control. */
#ifndef PASSO_SOUND_RECIPES_H
#define PASSO_SOUND_RECIPES_H

#include "sound/kit.h"

/* Synthesizes one sound at rate_hz into a fresh array of the sample. */
void passo_recipe_click(struct passo_sample *out_sample, enum passo_timbre timbre,
                        enum passo_click click, uint32_t rate_hz);
void passo_recipe_cue(struct passo_sample *out_sample, enum passo_cue cue, uint32_t rate_hz);

#endif
