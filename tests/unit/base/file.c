#include "support/check.h"

#include "base/file.h"

#include <dirent.h>
#include <errno.h>
#include <fcntl.h>
#include <stdlib.h>
#include <sys/stat.h>
#include <unistd.h>

static char folder[] = "/tmp/check-file-XXXXXX";

static const char *in_folder(const char *name)
{
    static char paths[4][300];
    static unsigned turn;
    char *path = paths[turn++ % 4];
    snprintf(path, sizeof paths[0], "%s/%s", folder, name);
    return path;
}

static void read_back(const char *path, char *out, size_t size)
{
    FILE *file = fopen(path, "r");
    size_t n = file ? fread(out, 1, size - 1, file) : 0;
    out[n] = '\0';
    if (file)
        fclose(file);
}

static size_t count_entries(void)
{
    size_t n = 0;
    DIR *entries = opendir(folder);
    for (struct dirent *entry; entries && (entry = readdir(entries));)
        n += entry->d_name[0] != '.' || strlen(entry->d_name) > 2;
    if (entries)
        closedir(entries);
    return n;
}

static void replaces_whole(void)
{
    struct problem problem;
    char text[100];
    const char *path = in_folder("a.csv");
    CU_ASSERT_EQUAL(file_replace(path, "one\n", 4, &problem), STATUS_OK);
    CU_ASSERT_EQUAL(chmod(path, 0640), 0);
    CU_ASSERT_EQUAL(file_replace(path, "two two\n", 8, &problem), STATUS_OK);
    read_back(path, text, sizeof text);
    check_text(text, "two two\n");
    struct stat entry;
    CU_ASSERT_EQUAL(stat(path, &entry), 0);
    CU_ASSERT_EQUAL(entry.st_mode & 07777, 0640);
    CU_ASSERT_EQUAL(count_entries(), 1);
}

/* Each write, sync and rename failed in turn: the old content stands, or the new one whole; no litter. */
static void survives_each_failure(void)
{
    struct problem problem;
    char text[100];
    const char *path = in_folder("a.csv");
    file_fail_at(0, false, 0);
    CU_ASSERT_EQUAL(file_replace(path, "old\n", 4, &problem), STATUS_OK);
    unsigned long n_calls = file_calls();
    CU_ASSERT(n_calls >= 4);
    for (unsigned long n = 1; n <= n_calls; n++) {
        file_fail_at(n, true, ENOSPC);
        enum status status = file_replace(path, "new\n", 4, &problem);
        file_fail_at(0, false, 0);
        CU_ASSERT_EQUAL(status, STATUS_IO);
        CU_ASSERT(strstr(problem.text, strerror(ENOSPC)) != NULL);
        read_back(path, text, sizeof text);
        check_text(text, n == n_calls ? "new\n" : "old\n"); /* the last is the folder's sync, after the rename */
        CU_ASSERT_EQUAL(count_entries(), 1);
    }
    file_fail_at(1, false, EINTR);
    CU_ASSERT_EQUAL(file_replace(path, "after a signal\n", 15, &problem), STATUS_OK);
    file_fail_at(0, false, 0);
}

static void follows_a_link(void)
{
    struct problem problem;
    char text[100];
    const char *real = in_folder("a.csv"), *link = in_folder("link.csv");
    CU_ASSERT_EQUAL(symlink("a.csv", link), 0);
    CU_ASSERT_TRUE(file_same(real, link));
    CU_ASSERT_EQUAL(file_replace(link, "through\n", 8, &problem), STATUS_OK);
    struct stat entry;
    CU_ASSERT(lstat(link, &entry) == 0 && S_ISLNK(entry.st_mode));
    read_back(real, text, sizeof text);
    check_text(text, "through\n");
    unlink(link);
}

static void refuses_folders_and_full_devices(void)
{
    struct problem problem;
    CU_ASSERT_EQUAL(file_replace(folder, "x", 1, &problem), STATUS_IO);
    CU_ASSERT_EQUAL(file_replace(in_folder("none/a.csv"), "x", 1, &problem), STATUS_IO);
    CU_ASSERT_EQUAL(file_replace("/dev/full", "x", 1, &problem), STATUS_IO);
    CU_ASSERT_EQUAL(file_replace("/dev/null", "x", 1, &problem), STATUS_OK);
    struct stat entry;
    CU_ASSERT(stat("/dev/null", &entry) == 0 && S_ISCHR(entry.st_mode));
}

static void makes_folders(void)
{
    struct problem problem;
    CU_ASSERT_EQUAL(file_make_folder(in_folder("x/y/z"), &problem), STATUS_OK);
    CU_ASSERT_EQUAL(file_make_folder(in_folder("x/y/z/"), &problem), STATUS_OK);
    struct stat entry;
    CU_ASSERT(stat(in_folder("x/y/z"), &entry) == 0 && S_ISDIR(entry.st_mode));
    CU_ASSERT_EQUAL(file_make_folder(in_folder("a.csv"), &problem), STATUS_IO);
    CU_ASSERT_EQUAL(file_make_folder(in_folder("a.csv/b"), &problem), STATUS_IO);
    rmdir(in_folder("x/y/z"));
    rmdir(in_folder("x/y"));
    rmdir(in_folder("x"));
}

static void tells_files_apart(void)
{
    CU_ASSERT_FALSE(file_same(in_folder("a.csv"), folder));
    CU_ASSERT_FALSE(file_same(in_folder("a.csv"), in_folder("missing")));
    CU_ASSERT_TRUE(file_same(in_folder("a.csv"), in_folder("./a.csv")));
}

int main(void)
{
    static const struct check_case cases[] = {
        { "replaces whole", replaces_whole },
        { "survives each failure", survives_each_failure },
        { "follows a link", follows_a_link },
        { "refuses folders and full devices", refuses_folders_and_full_devices },
        { "makes folders", makes_folders },
        { "tells files apart", tells_files_apart },
    };
    if (!mkdtemp(folder))
        return 2;
    int result = check_run("file", cases, sizeof cases / sizeof cases[0]);
    unlink(in_folder("a.csv"));
    rmdir(folder);
    return result;
}
