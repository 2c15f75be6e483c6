/* `passo devices`: which sound devices there are. */
#include <stdio.h>
#include "command/options.h"
#include "output/output.h"
#include "text/notation.h"

enum { DEVICES_MAX = 128 };

static void print_device(const struct passo_device *device)
{
    char name[160];
    char system[80];
    printf("%c %3d  %-40s %-12s %6.0f Hz  %5.1f ms  %d ch\n", device->is_default ? '*' : ' ',
           device->number, passo_text_clean(device->name, name, sizeof name),
           passo_text_clean(device->system, system, sizeof system), device->rate_hz,
           device->latency_ms, device->channels);
}

enum passo_exit passo_command_devices(const struct passo_program_command *self, int argc,
                                      char **argv)
{
    struct passo_options options;
    struct passo_device devices[DEVICES_MAX];
    enum passo_exit ended;
    passo_options_read(&options, PASSO_TAKES_DEVICES, argc, argv);
    if (!passo_options_told(&options, PASSO_TAKES_DEVICES, self, &ended)) {
        size_t count = passo_devices(devices, DEVICES_MAX);
        if (count > DEVICES_MAX)
            count = DEVICES_MAX;
        ended = PASSO_EXIT_DONE;
        if (count == 0)
            printf("There is no sound device here. passo keeps time without one, in silence.\n");
        else
            printf("     #  name%*srate and latency   (* the default; --device NAME or # "
                   "chooses)\n",
                   50, "");
        for (size_t i = 0; i < count; i++)
            print_device(&devices[i]);
        if (options.verbose)
            printf("\nWhat the sound libraries had to say:\n%s", passo_devices_chatter());
    }
    passo_options_deinit(&options);
    return ended;
}
