// On the page of an engine: what was typed on a sheet that is filed now need not be kept.

import { forgetSent } from "./sheet_draft.js";

forgetSent();
