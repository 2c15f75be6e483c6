/* The devices PortAudio knows, and the choice of one. Private to the room; all here is called with
 * PortAudio initialized, inside a bounded call. */
#ifndef PASSO_OUTPUT_DEVICES_H
#define PASSO_OUTPUT_DEVICES_H

#include "output/output.h"

/* The index of the output device that is asked for: a number, or part of a name in any case (the
 * whole name before a part of it); NULL or "" is the default device. -1: none, and out_fault holds
 * one sentence. */
int passo_device_choose(const char *ask, char *out_fault, size_t fault_bytes);

#endif
