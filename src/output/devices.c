/* Lists PortAudio's output devices and chooses among them. PortAudio looks for devices only when it
 * is initialized, so each list is a fresh look, unless a stream is open at the moment. */
#include "output/devices.h"

#include "output/bounded.h"
#include "output/chatter.h"

#include <portaudio.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#define LIST_TIMEOUT_MS 5000

/* The default output device; where the first sound system has none, that of another. */
static PaDeviceIndex default_device(void)
{
    PaDeviceIndex device = Pa_GetDefaultOutputDevice();
    for (PaHostApiIndex i = 0; device == paNoDevice && i < Pa_GetHostApiCount(); i++)
        device = Pa_GetHostApiInfo(i)->defaultOutputDevice;
    return device;
}

static bool plays(PaDeviceIndex device)
{
    const PaDeviceInfo *info = Pa_GetDeviceInfo(device);
    return info && info->maxOutputChannels > 0;
}

/* The first output device whose name is (whole) or contains (part) the text; -1: none. */
static PaDeviceIndex named(const char *text, bool whole)
{
    for (PaDeviceIndex i = 0; i < Pa_GetDeviceCount(); i++) {
        const char *name = Pa_GetDeviceInfo(i)->name;
        if (plays(i) && (whole ? !strcasecmp(name, text) : strcasestr(name, text) != NULL))
            return i;
    }
    return -1;
}

int passo_device_choose(const char *ask, char *out_fault, size_t fault_bytes)
{
    if (!ask || !*ask) {
        PaDeviceIndex device = default_device();
        if (device == paNoDevice || !plays(device)) {
            snprintf(out_fault, fault_bytes,
                     "no sound device was found; `passo devices` looks again");
            return -1;
        }
        return device;
    }
    char *rest;
    long number = strtol(ask, &rest, 10);
    if (*rest == '\0' && number >= 0 && number < Pa_GetDeviceCount() && plays((int)number))
        return (int)number;
    PaDeviceIndex device = named(ask, true);
    if (device < 0)
        device = named(ask, false);
    if (device < 0)
        snprintf(out_fault, fault_bytes,
                 "there is no sound device \"%.80s\"; `passo devices` shows those there are", ask);
    return device;
}

struct list_job {
    size_t capacity;
    size_t count;
    struct passo_device device[];
};

static void describe(struct passo_device *out, PaDeviceIndex device)
{
    const PaDeviceInfo *info = Pa_GetDeviceInfo(device);
    const PaHostApiInfo *host = Pa_GetHostApiInfo(info->hostApi);
    *out = (struct passo_device){
        .number = device,
        .rate_hz = info->defaultSampleRate,
        .latency_ms = info->defaultLowOutputLatency * 1000.0,
        .channels = info->maxOutputChannels,
        .is_default = device == default_device(),
    };
    snprintf(out->name, sizeof out->name, "%s", info->name);
    snprintf(out->system, sizeof out->system, "%s", host ? host->name : "");
}

static void list(void *argument)
{
    struct list_job *job = argument;
    passo_chatter_begin();
    if (Pa_Initialize() == paNoError) {
        for (PaDeviceIndex i = 0; i < Pa_GetDeviceCount(); i++) {
            if (!plays(i))
                continue;
            if (job->count < job->capacity)
                describe(&job->device[job->count], i);
            job->count++;
        }
        Pa_Terminate();
    }
    passo_chatter_end();
}

size_t passo_devices(struct passo_device *out_devices, size_t capacity)
{
    /* Its own buffer: a call that hangs outlives the caller's. */
    struct list_job *job = passo_xcalloc(1, sizeof *job + capacity * sizeof job->device[0]);
    job->capacity = capacity;
    enum passo_call outcome = passo_bounded(list, free, job, LIST_TIMEOUT_MS);
    if (outcome == PASSO_CALL_HANGS)
        return 0;
    size_t count = job->count; /* 0 if the call was refused */
    size_t shown = count < capacity ? count : capacity;
    if (shown)
        memcpy(out_devices, job->device, shown * sizeof *out_devices);
    free(job);
    return count;
}
