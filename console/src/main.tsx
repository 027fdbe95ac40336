// The page's entry: styles, theme, and the first look at the door.
import { render } from "preact";
import { App } from "./app.tsx";
import { fetchRoom } from "./shell/house.tsx";
import { lookAtDoor, room } from "./state.ts";
import { applyTheme } from "./theme.ts";
import "./styles/base.css";
import "./styles/shell.css";
import "./styles/parts.css";
import "./styles/now.css";
import "./styles/rooms.css";
import "./styles/plot.css";
import "./styles/sky.css";
import "./styles/coordinate.css";
import "./styles/record.css";

applyTheme();
void lookAtDoor();
fetchRoom(room.value);
const page = document.getElementById("page");
if (page !== null) render(<App />, page);
