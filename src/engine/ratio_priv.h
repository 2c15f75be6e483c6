/* Fractions of 128 bits, which ratios are made of. Not for other rooms. */
#ifndef PASSO_ENGINE_RATIO_PRIV_H
#define PASSO_ENGINE_RATIO_PRIV_H

__extension__ typedef __int128 ratio_wide;

/* Lowest terms, den above 0. A den of 0 is a bug and stops the program. */
void ratio_reduce(ratio_wide *num, ratio_wide *den);

#endif
