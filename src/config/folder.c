/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "config/folder.h"

#include <dirent.h>
#include <errno.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "stillarm/text.h"

static bool is_folder(const char *path)
{
    struct stat kind;
    return stat(path, &kind) == 0 && S_ISDIR(kind.st_mode);
}

bool path_join(char out[PATH_CAP], const char *folder, const char *name)
{
    int n = snprintf(out, PATH_CAP, "%s/%s", folder, name);
    return n > 0 && n < PATH_CAP;
}

/* The folder that the running program lies in; false where the system does not tell. */
static bool program_folder(char out[PATH_CAP])
{
    ssize_t n = readlink("/proc/self/exe", out, PATH_CAP - 1);
    if (n <= 0 || n >= PATH_CAP - 1)
        return false;
    out[n] = '\0';
    char *slash = strrchr(out, '/');
    if (!slash)
        return false;
    *slash = '\0';
    return true;
}

static bool assets_folder(char out[PATH_CAP])
{
    static const char *const BUILT_IN[] = {STILLARM_ASSETS_SOURCE, STILLARM_ASSETS_INSTALLED};
    static const char *const BESIDE[] = {"../share/stillarm", "assets", "../assets"};
    char protocols[PATH_CAP], folder[PATH_CAP];
    for (size_t i = 0; i < ARRAY_LEN(BUILT_IN); i++)
        if (path_join(protocols, BUILT_IN[i], "protocols") && is_folder(protocols))
            return text_copy(out, PATH_CAP, BUILT_IN[i]);
    for (size_t i = 0; i < ARRAY_LEN(BESIDE) && program_folder(folder); i++)
        if (path_join(out, folder, BESIDE[i]) && path_join(protocols, out, "protocols") && is_folder(protocols))
            return true;
    return false;
}

bool protocols_folder(const char *dir, char out[PATH_CAP])
{
    char assets[PATH_CAP];
    const char *set = getenv("STILLARM_PROTOCOLS");
    if (!dir && set && *set)
        dir = set;
    if (dir)
        return text_copy(out, PATH_CAP, dir);
    return assets_folder(assets) && path_join(out, assets, "protocols");
}

static bool find(const char *folder, const char *name, char out[PATH_CAP])
{
    return path_join(out, folder, name) && access(out, F_OK) == 0;
}

bool find_beside(const char *dir, const char *name, char out[PATH_CAP])
{
    char above[PATH_CAP];
    return find(dir, name, out) || (path_join(above, dir, "..") && find(above, name, out));
}

bool find_shipped(const char *name, char out[PATH_CAP])
{
    char assets[PATH_CAP];
    return assets_folder(assets) && find(assets, name, out);
}

bool site_folder(char out[PATH_CAP])
{
    const char *site = getenv("STILLARM_SITE"), *config = getenv("XDG_CONFIG_HOME"), *home = getenv("HOME");
    if (site && site[0])
        return text_copy(out, PATH_CAP, site);
    if (config && config[0] == '/') /* the standard says that others are to be ignored */
        return path_join(out, config, "stillarm");
    return home && home[0] && path_join(out, home, ".config/stillarm");
}

bool is_same_file(const char *a, const char *b)
{
    struct stat one, other;
    return stat(a, &one) == 0 && stat(b, &other) == 0 && one.st_dev == other.st_dev && one.st_ino == other.st_ino;
}

const char *shown_name(const char *name)
{
    return is_plain_text(name, 200) ? name : "(a file whose name cannot be shown)";
}

static int by_name(const void *a, const void *b)
{
    return strcmp(*(char *const *)a, *(char *const *)b);
}

static bool ends_in(const char *name, const char *suffix)
{
    size_t n = strlen(name), m = strlen(suffix);
    return name[0] != '.' && n > m && strcmp(name + n - m, suffix) == 0;
}

enum status list_files(const char *dir, const char *suffix, struct names *out, struct faults *f, struct err *e)
{
    DIR *d = opendir(dir);
    if (!d)
        return err_set(e, errno == ENOENT || errno == ENOTDIR ? ST_NOT_FOUND : errno == EACCES ? ST_PERMISSION : ST_IO,
                       "The folder of protocols %s cannot be opened: %s. Name another with --protocol-dir.", dir,
                       strerror(errno));
    const struct dirent *entry;
    while ((entry = readdir(d)) != NULL) {
        if (!ends_in(entry->d_name, suffix))
            continue;
        char *copy = out->count < FILES_MAX ? strdup(entry->d_name) : NULL;
        if (copy)
            out->list[out->count++] = copy;
        else
            fault_at(f, 1, "there are more files than are read: %s is left out.", shown_name(entry->d_name));
    }
    (void)closedir(d);
    qsort(out->list, (size_t)out->count, sizeof out->list[0], by_name);
    return ST_OK;
}

void names_free(struct names *names)
{
    for (int i = 0; i < names->count; i++)
        free(names->list[i]);
    names->count = 0;
}
