// SPDX-License-Identifier: Apache-2.0
#pragma once

#include <sys/resource.h>

#include <csignal>

namespace fuelring {

/// While it lives no file of this process can grow beyond `bytes`: writes fail with EFBIG, which
/// stands for a full disk.
class FileSizeLimit {
public:
    explicit FileSizeLimit(rlim_t bytes) : old_action_(std::signal(SIGXFSZ, SIG_IGN))
    {
        getrlimit(RLIMIT_FSIZE, &old_limit_);
        const rlimit limit{bytes, old_limit_.rlim_max};
        setrlimit(RLIMIT_FSIZE, &limit);
    }
    ~FileSizeLimit()
    {
        setrlimit(RLIMIT_FSIZE, &old_limit_);
        std::signal(SIGXFSZ, old_action_);
    }
    FileSizeLimit(const FileSizeLimit&) = delete;
    FileSizeLimit& operator=(const FileSizeLimit&) = delete;

private:
    void (*old_action_)(int);
    rlimit old_limit_{};
};

} // namespace fuelring
