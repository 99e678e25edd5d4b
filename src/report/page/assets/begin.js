// SPDX-License-Identifier: Apache-2.0
// The page's script: the files of this folder one after the other, as one strict script. Everything
// that comes from data reaches the document as text of a node or as a number, never as markup.
"use strict";
