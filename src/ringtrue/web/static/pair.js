// Pairing, on the device that asks: takes the secret out of the address at once, says who this is, and waits for the owner.

const secret = location.hash.slice(1);
if (location.hash) history.replaceState(null, "", location.pathname);

const part = (id) => document.getElementById(id);
const form = part("ask");

const EVERY = 1000; // so often it is asked how it stands [ms]
const FOR_A_DEVICE = "ringtrue."; // an invitation begins so; the owner's first secret does not

async function send(path, said) {
  const answer = await fetch(path, {
    method: "POST",
    headers: { "content-type": "application/json" },
    body: JSON.stringify(said),
  });
  const heard = await answer.json();
  if (answer.ok) return heard;
  const faults = (heard.faults || []).map((each) => `${each.where ? `${each.where}: ` : ""}${each.why}; ${each.instead}.`);
  throw new Refusal(faults.join(" ") || heard.says);
}

class Refusal extends Error {}

function guess() {
  if (!matchMedia("(pointer: coarse)").matches) return "PC";
  return Math.min(screen.width, screen.height) < 600 ? "phone" : "tablet";
}

function show(id) {
  for (const each of ["ask", "waiting", "ended"]) part(each).hidden = each !== id;
}

function end(says) {
  part("end").textContent = says;
  show("ended");
}

function fault(says) {
  part("fault").textContent = says;
  part("fault").hidden = false;
}

async function stands(heard) {
  const { ticket } = heard;
  while (heard.state === "waiting") {
    part("number").textContent = heard.number;
    show("waiting");
    await new Promise((go) => setTimeout(go, EVERY));
    try {
      heard = await send("/api/pair/wait", { ticket });
    } catch (error) {
      if (error instanceof Refusal) return end(error.message);
      // The Wi-Fi is gone for a moment: it is asked again.
    }
  }
  if (heard.state === "let in") location.replace("/");
  else if (heard.state === "refused") end("The shop PC refused this device.");
  else end("It took too long, or the shop PC was started anew. Make a new code there.");
}

form.addEventListener("submit", async (event) => {
  event.preventDefault();
  part("fault").hidden = true;
  const said = { person: form.person.value, device: form.device.value };
  if (secret) said.secret = secret;
  else said.code = form.code.value;
  const button = form.querySelector("button");
  button.disabled = true;
  try {
    await stands(await send("/api/pair", said));
  } catch (error) {
    fault(error instanceof Refusal ? error.message : "The shop PC does not answer. Is this device in the same Wi-Fi?");
  } finally {
    button.disabled = false;
  }
});

async function begin() {
  form.device.value = guess();
  part("code-field").hidden = part("how-code").hidden = Boolean(secret);
  form.code.required = !secret;
  const me = form.dataset; // who this device is, if it is in already
  if (!me.role) return;
  form.person.value = me.person;
  form.device.value = me.device;
  if (secret && !secret.startsWith(FOR_A_DEVICE) && me.role === "owner") {
    // In already: the secret is spent, so that nobody else finds it good.
    try {
      await send("/api/pair", { secret, person: me.person, device: me.device });
    } catch {
      // too old: so much the better
    }
    location.replace("/");
    return;
  }
  part("already").textContent = `This device is let in already: ${me.device}, used by ${me.person} (${me.role}). Pair it anew only to change that.`;
  part("already").hidden = false;
}

begin();
