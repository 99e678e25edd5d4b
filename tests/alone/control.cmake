# SPDX-License-Identifier: Apache-2.0
# A missing include, which a joint source hides and scripts/check-alone must show.
foreach(how IN ITEMS joint alone)
    add_library(${how}_control OBJECT EXCLUDE_FROM_ALL tests/alone/includes_vector.cpp
                                                       tests/alone/lacks_vector.cpp)
endforeach()
set_target_properties(joint_control PROPERTIES UNITY_BUILD ON)
